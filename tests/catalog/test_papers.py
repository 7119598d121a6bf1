"""Papers: what is taken in, what is refused by its name, who may see what, and that nothing is ever removed."""

import errno
import hashlib
import io
import os
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pillow_heif
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import get_resolver, reverse
from PIL import Image

from catalog.models import Instrument, Paper, Provenance
from catalog.papers.actions import FROM_WHOM, add_paper, change_paper
from catalog.papers.intake import received_path
from shop.models import Entry, User
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory

pytestmark = pytest.mark.django_db

PDF = b"%PDF-1.4\n1 0 obj <</Type /Catalog>> endobj\ntrailer <</Root 1 0 R>>\n%%EOF\n"


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    settings.RECEIVED_DIR = tmp_path / "received"
    return tmp_path / "received"


def said(**more: Any) -> dict[str, Any]:
    """What the deed takes beside a file."""
    return {"kind": "bill", "title": "Bill of sale", "when": "1927", "copy": "original", **more}


def add(instrument: Instrument, name: str, content: bytes, **more: Any) -> Paper:
    return add_paper(instrument, said(**more), SimpleUploadedFile(name, content), by=None, at=NOON)


def scan(form: str, size: tuple[int, int] = (60, 80)) -> bytes:
    out = io.BytesIO()
    if form == "HEIF":
        pillow_heif.from_pillow(Image.new("RGB", size, "#ddc")).save(out, quality=60)
    else:
        Image.new("RGB", size, "#ddc").save(out, form)
    return out.getvalue()


def kept_files() -> list[str]:
    return sorted(path.name for path in Path(settings.RECEIVED_DIR).rglob("*") if path.is_file())


TAKEN: list[tuple[str, Callable[[], bytes], str]] = [
    ("bill.pdf", lambda: PDF, "pdf"),
    # A scanner's own lines may stand before the head: PDF Reference 1.7, appendix H, note 13.
    ("scanner.pdf", lambda: b"\x00" * 900 + PDF, "pdf"),
    ("bill.jpeg", lambda: scan("JPEG"), "jpg"),
    ("bill.png", lambda: scan("PNG"), "png"),
    ("bill.tiff", lambda: scan("TIFF"), "tif"),
    ("bill.webp", lambda: scan("WEBP"), "webp"),
    ("bill.heic", lambda: scan("HEIF"), "heic"),
    # The name says one thing, the content another: the content is believed.
    ("bill.txt", lambda: PDF, "pdf"),
    ("bill.pdf", lambda: scan("PNG"), "png"),
]


@pytest.mark.parametrize(("name", "make", "suffix"), TAKEN)
def test_a_paper_is_kept_byte_for_byte_and_private(
    name: str, make: Callable[[], bytes], suffix: str, folder: Path
) -> None:
    content = make()
    paper = add(InstrumentFactory(), name, content)
    digest = hashlib.sha256(content).hexdigest()
    assert (paper.original_name, paper.sha256, paper.suffix, paper.bytes) == (
        name,
        digest,
        suffix,
        len(content),
    )
    place = received_path(digest, suffix)
    assert place == folder / digest[:2] / f"{digest}.{suffix}"
    assert place.read_bytes() == content
    assert place.stat().st_mode & 0o077 == 0


REFUSED: list[tuple[str, Callable[[], bytes], str, str]] = [
    ("cut.pdf", lambda: PDF[:-8], "truncated", "cut short"),
    # An end that stands long before the last bytes is that of an earlier state of the file.
    ("grown.pdf", lambda: PDF + b"x" * 2000, "truncated", "cut short"),
    ("cut.png", lambda: scan("PNG")[:-12], "truncated", "cut short"),
    ("bill.pdf", lambda: b"#!/bin/sh\nrm -rf /\n", "wrong-type", "is no paper that can be read"),
    ("late.pdf", lambda: b"x" * 2000 + PDF, "wrong-type", "is no paper that can be read"),
    ("bill.docx", lambda: b"PK\x03\x04 words", "wrong-type", "is no paper that can be read"),
    ("page.html", lambda: b"<script>alert(1)</script>", "wrong-type", "is no paper that can be read"),
    ("empty.pdf", lambda: b"", "wrong-type", "is no paper that can be read"),
]


@pytest.mark.parametrize(("name", "make", "code", "says"), REFUSED)
def test_what_is_no_paper_is_refused_by_name_and_leaves_nothing(
    name: str, make: Callable[[], bytes], code: str, says: str
) -> None:
    with pytest.raises(Refused) as refused:
        add(InstrumentFactory(), name, make())
    assert refused.value.code == code
    assert refused.value.message.startswith(name)
    assert says in refused.value.message
    assert kept_files() == []
    assert not Paper.objects.exists()
    assert not Entry.objects.exists()


def test_a_file_above_the_limit_of_papers_is_refused(settings: Any) -> None:
    settings.MAX_PAPER_BYTES = 1024 * 1024
    with pytest.raises(Refused, match=r"^big\.pdf is larger than 1 MB\. Send a smaller copy\.$"):
        add(InstrumentFactory(), "big.pdf", PDF + b"\n" * 1024 * 1024)
    assert kept_files() == []


@pytest.mark.parametrize("where", ["os.fsync", "pathlib.Path.replace"])
def test_a_full_disk_is_said_by_name_and_leaves_nothing(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    instrument = InstrumentFactory()
    with monkeypatch.context() as patched:
        patched.setattr(where, full)
        with pytest.raises(Refused, match=r"^bill\.pdf was not kept: the disk is full") as refused:
            add(instrument, "bill.pdf", PDF)
    assert refused.value.code == "disk-full"
    assert kept_files() == []
    assert not Paper.objects.exists()


def test_the_same_file_twice_is_refused_on_one_record_and_taken_on_another() -> None:
    instrument = InstrumentFactory()
    add(instrument, "bill.pdf", PDF)
    with pytest.raises(Refused, match=r"^again\.pdf is here already, as “Bill of sale”\.$"):
        add(instrument, "again.pdf", PDF)
    add(InstrumentFactory(), "bill.pdf", PDF)
    assert Paper.objects.count() == 2
    assert len(kept_files()) == 1


def test_a_paper_seen_elsewhere_has_no_file_and_any_other_has_one() -> None:
    instrument = InstrumentFactory()
    seen = add_paper(instrument, said(copy="seen"), by=None, at=NOON)
    assert (seen.sha256, seen.suffix, seen.bytes, seen.original_name) == ("", "", None, "")
    with pytest.raises(Refused, match=r"^A paper that is not here has no file\."):
        add(instrument, "bill.pdf", PDF, copy="seen")
    with pytest.raises(Refused, match=r"^Send a scan or a photograph of the paper"):
        add_paper(instrument, said(copy="copy"), by=None, at=NOON)
    with pytest.raises(Refused, match=r"^No file of this paper is here yet\."):
        change_paper(seen, said(copy="original"), by=None, at=NOON)
    there = add(instrument, "bill.pdf", PDF)
    with pytest.raises(Refused, match=r"^Its file is here"):
        change_paper(there, said(copy="seen"), by=None, at=NOON)
    assert list(instrument.papers.values_list("copy", flat=True).order_by("pk")) == ["seen", "original"]


def test_a_paper_that_was_only_seen_gets_its_file_when_it_comes_and_keeps_it(owner: User) -> None:
    instrument = InstrumentFactory()
    seen = add_paper(instrument, said(copy="seen"), by=owner, at=NOON)
    come = SimpleUploadedFile("bill.pdf", PDF)
    assert change_paper(seen, said(copy="copy"), come, by=owner, at=NOON)
    assert (seen.copy, seen.suffix, seen.bytes) == ("copy", "pdf", len(PDF))
    assert received_path(seen.sha256, "pdf").read_bytes() == PDF
    assert Entry.objects.latest("pk").new == "Bill of sale · Bill of sale · 1927 · A copy · bill.pdf"
    # The same press once more changes nothing; another file is another paper.
    assert not change_paper(seen, said(copy="copy"), come, by=owner, at=NOON)
    with pytest.raises(Refused, match=r"^Its file is here and stays as it came\."):
        change_paper(seen, said(copy="copy"), SimpleUploadedFile("b.png", scan("PNG")), by=owner, at=NOON)
    other = add_paper(instrument, said(copy="seen", title="Another"), by=owner, at=NOON)
    with pytest.raises(Refused, match=r"^bill\.pdf is here already, as “Bill of sale”\."):
        change_paper(other, said(copy="copy"), come, by=owner, at=NOON)


def test_the_form_of_a_paper_asks_for_its_file_only_while_it_has_none(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    seen = add_paper(instrument, said(copy="seen"), by=None, at=NOON)
    path = reverse("paper-change", args=[instrument.stock_id, seen.token])
    assert 'type="file"' in helpers_desk.get(path).text
    answer = helpers_desk.post(path, typed(copy="copy", file=SimpleUploadedFile("x.pdf", b"no")))
    assert answer.context["form"].errors["file"][0].startswith("x.pdf is no paper")
    assert "Choose the file “x.pdf” once more" in answer.text
    answer = helpers_desk.post(path, typed(copy="copy", file=SimpleUploadedFile("bill.pdf", PDF)))
    assert answer.status_code == 302
    seen.refresh_from_db()
    assert (seen.copy, seen.original_name) == ("copy", "bill.pdf")
    assert 'type="file"' not in helpers_desk.get(path).text


def test_an_old_page_is_refused_above_the_form_and_keeps_what_was_typed(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    paper = add(instrument, "bill.pdf", PDF)
    path = reverse("paper-change", args=[instrument.stock_id, paper.token])
    answer = helpers_desk.post(path, typed(title="Typed anew", revision="0"))
    assert answer.context["form"].non_field_errors()[0].startswith("This record was changed")
    assert 'value="Typed anew"' in answer.text


def test_two_presses_of_one_form_are_one_paper() -> None:
    instrument, entry = InstrumentFactory(), uuid.uuid4()
    first = add_paper(instrument, said(copy="seen"), entry=entry, by=None, at=NOON)
    assert add_paper(instrument, said(copy="seen"), entry=entry, by=None, at=NOON) == first
    assert Entry.objects.filter(verb="paper added").count() == 1
    with pytest.raises(Refused, match="belongs to another record"):
        add_paper(InstrumentFactory(), said(copy="seen"), entry=entry, by=None, at=NOON)


def test_adding_and_changing_are_history_and_whom_it_came_from_is_a_line_of_its_own(owner: User) -> None:
    instrument = InstrumentFactory()
    before = instrument.revision
    paper = add_paper(instrument, said(copy="seen", from_whom="Odile Marsh"), by=owner, at=NOON)
    changed = said(copy="seen", when="c. 1927", public=True, from_whom="Ida Marsh")
    assert change_paper(paper, changed, by=owner, at=NOON)
    assert not change_paper(paper, changed, by=owner, at=NOON)
    told = Entry.objects.filter(about="instrument", about_id=instrument.pk).order_by("pk")
    assert [(entry.verb, entry.field, entry.old, entry.new, entry.by) for entry in told] == [
        ("paper added", "papers", "", "Bill of sale · Bill of sale · 1927 · Seen, not here", owner),
        ("changed", FROM_WHOM, "", "Bill of sale: Odile Marsh", owner),
        (
            "changed",
            "papers",
            "Bill of sale · Bill of sale · 1927 · Seen, not here",
            "Bill of sale · Bill of sale · c. 1927 · Seen, not here · may be named to buyers",
            owner,
        ),
        ("changed", FROM_WHOM, "Bill of sale: Odile Marsh", "Bill of sale: Ida Marsh", owner),
    ]
    instrument.refresh_from_db()
    assert instrument.revision == before + 2
    assert (paper.when_edtf, paper.public) == ("1927~", True)


def test_a_change_on_an_old_page_is_refused_and_changes_nothing(owner: User) -> None:
    instrument = InstrumentFactory()
    paper = add(instrument, "bill.pdf", PDF)
    with pytest.raises(Refused) as refused:
        change_paper(paper, said(title="Another"), by=owner, at=NOON, revision=0)
    assert refused.value.code == "changed-meanwhile"
    paper.refresh_from_db()
    assert paper.title == "Bill of sale"


def typed(**more: Any) -> dict[str, Any]:
    """What the form sends."""
    return {"entry": str(uuid.uuid4()), **said(), "note": "", **more}


def send(client: Client, instrument: Instrument, **more: Any) -> Any:
    return client.post(reverse("papers", args=[instrument.stock_id]), typed(**more))


def test_a_paper_is_sent_and_stands_in_the_list(owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    answer = send(
        owners_desk,
        instrument,
        file=SimpleUploadedFile("bill.pdf", PDF),
        from_whom="Odile Marsh",
        public="on",
        comes_along="on",
    )
    assert answer.status_code == 302
    paper = Paper.objects.get()
    assert (paper.from_whom, paper.public, paper.comes_along, paper.bytes) == (
        "Odile Marsh",
        True,
        True,
        len(PDF),
    )
    page = owners_desk.get(answer["Location"]).text
    for words in ("The paper is kept.", "Bill of sale", "1927", "May be named", "Odile Marsh", "bill.pdf"):
        assert words in page
    assert f"/papers/{paper.token}/" in page
    assert f'id="paper-{paper.pk}"' in page


def test_a_refused_file_keeps_what_was_typed_and_says_so_beside_the_field(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    answer = send(helpers_desk, instrument, title="A long title", file=SimpleUploadedFile("x.pdf", b"no"))
    assert answer.status_code == 200
    assert answer.context["form"].errors["file"][0].startswith("x.pdf is no paper that can be read.")
    assert 'value="A long title"' in answer.text
    assert "Choose the file “x.pdf” once more" in answer.text
    assert not Paper.objects.exists()


def test_a_date_that_cannot_be_read_is_refused_and_nothing_is_kept(helpers_desk: Client) -> None:
    answer = send(
        helpers_desk, InstrumentFactory(), when="some day", file=SimpleUploadedFile("bill.pdf", PDF)
    )
    assert "when" in answer.context["form"].errors
    assert kept_files() == []


def test_a_paper_that_is_not_here_cannot_come_along(helpers_desk: Client) -> None:
    answer = send(helpers_desk, InstrumentFactory(), copy="seen", comes_along="on")
    assert answer.context["form"].errors == {
        "comes_along": ["A paper that is not here cannot come with the instrument."]
    }


def test_the_refusals_of_the_deed_stand_at_their_fields(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    assert list(send(helpers_desk, instrument).context["form"].errors) == ["file"]
    file = SimpleUploadedFile("bill.pdf", PDF)
    assert list(send(helpers_desk, instrument, copy="seen", file=file).context["form"].errors) == ["copy"]
    paper = add(instrument, "bill.pdf", PDF)
    path = reverse("paper-change", args=[instrument.stock_id, paper.token])
    assert list(helpers_desk.post(path, typed(copy="seen")).context["form"].errors) == ["copy"]


def test_a_helper_neither_sees_nor_changes_from_whom_it_came(
    helpers_desk: Client, owners_desk: Client
) -> None:
    instrument = InstrumentFactory()
    paper = add(instrument, "bill.pdf", PDF, from_whom="Odile Marsh")
    pages = [
        reverse("papers", args=[instrument.stock_id]),
        reverse("paper-change", args=[instrument.stock_id, paper.token]),
        reverse("record-history", args=[instrument.stock_id]),
    ]
    assert all("Odile Marsh" in owners_desk.get(page).text for page in pages)
    assert not any("Marsh" in helpers_desk.get(page).text for page in pages)
    answer = helpers_desk.post(pages[1], typed(title="Bill of 1927", from_whom="Somebody Else"))
    assert answer.status_code == 302
    paper.refresh_from_db()
    assert (paper.title, paper.from_whom) == ("Bill of 1927", "Odile Marsh")


NAMED = [
    ({"title": "Bill of Marsh’s shop", "from_whom": "Odile Marsh", "public": "on"}, True),
    ({"title": "Letter of Wendell Pike", "public": "on"}, True),
    ({"title": "Letter of Ida Marrable", "public": "on"}, False),
    ({"title": "Letter of Wendell Pike"}, False),
]


@pytest.mark.parametrize(("more", "refused"), NAMED)
def test_a_title_that_buyers_read_names_nobody_who_has_not_agreed(
    more: dict[str, str], refused: bool, owners_desk: Client
) -> None:
    instrument = InstrumentFactory()
    Provenance.objects.create(instrument=instrument, when="1950", kind="owned", person="Wendell Pike")
    Provenance.objects.create(
        instrument=instrument,
        when="1960",
        kind="owned",
        person="Ida Marrable",
        consent_on=NOON.date(),
        consent_how="By letter",
    )
    answer = send(owners_desk, instrument, copy="seen", **more)
    assert (answer.status_code == 200) is refused
    if refused:
        assert "names a person who has not agreed to be named" in answer.context["form"].errors["title"][0]


def test_a_helper_may_not_put_the_name_of_whom_it_came_from_into_a_public_title(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    paper = add(instrument, "bill.pdf", PDF, from_whom="Odile Marsh")
    path = reverse("paper-change", args=[instrument.stock_id, paper.token])
    answer = helpers_desk.post(path, typed(title="Marsh’s bill", public="on"))
    assert answer.status_code == 200
    assert "title" in answer.context["form"].errors
    assert "Odile" not in answer.text


@pytest.mark.parametrize(
    ("name", "make", "served", "kind"),
    [
        ("Bill 1927.PDF", lambda: PDF, "Bill 1927.pdf", "application/pdf"),
        ("shop.html", lambda: scan("PNG"), "shop.png", "image/png"),
        ("scan.heic", lambda: scan("HEIF"), "scan.heic", "image/heic"),
    ],
)
def test_staff_are_handed_the_file_as_it_came_and_never_in_the_page(
    name: str, make: Callable[[], bytes], served: str, kind: str, helpers_desk: Client, client: Client
) -> None:
    content, instrument = make(), InstrumentFactory()
    paper = add(instrument, name, content)
    path = reverse("paper-file", args=[instrument.stock_id, paper.token])
    answer = helpers_desk.get(path)
    assert b"".join(answer.streaming_content) == content
    assert answer["Content-Disposition"] == f'attachment; filename="{served}"'
    assert answer["Content-Type"] == kind
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, no-store"
    assert client.get(path)["Location"].startswith("/desk/log-in/")


def test_a_file_that_is_not_there_is_not_found(helpers_desk: Client) -> None:
    instrument, other = InstrumentFactory(), InstrumentFactory()
    seen = add_paper(instrument, said(copy="seen"), by=None, at=NOON)
    there = add(instrument, "bill.pdf", PDF)
    for stock, token in [
        (instrument.stock_id, seen.token),
        (other.stock_id, there.token),
        (instrument.stock_id, "nobody"),
        (instrument.stock_id, there.sha256),
    ]:
        assert helpers_desk.get(reverse("paper-file", args=[stock, token])).status_code == 404
    received_path(there.sha256, there.suffix).unlink()
    path = reverse("paper-file", args=[instrument.stock_id, there.token])
    assert helpers_desk.get(path).status_code == 404


def test_no_address_removes_a_paper() -> None:
    names = {name for name in get_resolver().reverse_dict if isinstance(name, str) and "paper" in name}
    assert {"papers", "paper-change", "paper-file"} <= names
    assert not any("remove" in name or "delete" in name for name in names)


def test_a_page_of_many_papers_needs_no_more_queries(
    owners_desk: Client, django_assert_max_num_queries: Any
) -> None:
    instrument = InstrumentFactory()
    path = reverse("papers", args=[instrument.stock_id])
    with django_assert_max_num_queries(40) as few:
        owners_desk.get(path)
    for number in range(6):
        add_paper(instrument, said(copy="seen", title=f"Letter {number}"), by=None, at=NOON)
    with django_assert_max_num_queries(len(few)):
        owners_desk.get(path)
