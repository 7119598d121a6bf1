"""Part by part at the desk: what is kept, what is refused, and what is offered."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.desk.forms.parts import KEYS, NO_EVIDENCE_NEEDED
from catalog.models import Finding, Instrument, Paper, Part, Photograph
from shop.models import Entry, User
from tests.factories import NOON, InstrumentFactory, PhotographFactory

pytestmark = pytest.mark.django_db


def address(instrument: Instrument) -> str:
    return reverse("record-section", args=[instrument.stock_id, "parts"])


def rows_of(client: Client, instrument: Instrument) -> dict[str, Any]:
    """Every field of the page as it stands; a tick that is not set is not sent."""
    form = client.get(address(instrument)).context["form"]
    fields = {field.html_name: field.value() for row in form.rows for field in row}
    return {name: value or "" for name, value in fields.items() if value is not False}


def post(client: Client, instrument: Instrument, **typed: Any) -> Any:
    """Send the page as it stands, with what was typed over it."""
    revision = Instrument.objects.values_list("revision", flat=True).get(pk=instrument.pk)
    named = {_named(name): value for name, value in typed.items()}
    return client.post(address(instrument), {**rows_of(client, instrument), "revision": revision, **named})


def _named(keyword: str) -> str:
    """“nut_work_by” is the field work_by of the part nut; “neck_wood_state” is of the part neck-wood."""
    part = next(slug for slug in ("neck_wood", keyword.split("_")[0]) if keyword.startswith(slug))
    return f"{part.replace('_', '-')}-{keyword.removeprefix(f'{part}_')}"


def paper(instrument: Instrument, **fields: Any) -> Paper:
    token = f"{Paper.objects.count():032x}"
    values = {"title": "Bill of 1931", "token": token, "received_at": NOON, **fields}
    return Paper.objects.create(instrument=instrument, **values)


def test_rows_left_alone_stay_unexamined(helpers_desk: Client, helper: User) -> None:
    instrument = InstrumentFactory()
    rows = rows_of(helpers_desk, instrument)
    assert {value for name, value in rows.items() if name.endswith("-state")} == {"not-examined"}
    assert (
        post(helpers_desk, instrument, rim_state="original", rim_evidence="Stamp inside").status_code == 302
    )
    finding = Finding.objects.get()
    assert (finding.part.slug, finding.state, finding.examined_by) == ("rim", "original", helper)


def test_headings_are_not_examined(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    rows = helpers_desk.get(address(instrument)).context["form"].rows
    headings = set(instrument.kind.parts.exclude(children=None).values_list("slug", flat=True))
    assert headings
    assert not headings & {row.part.slug for row in rows}
    assert len(rows) == instrument.kind.parts.filter(children=None).count()


def test_everything_about_a_part_is_kept_and_stands_there_again(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    picture, bill = PhotographFactory(instrument=instrument, caption="The nut"), paper(instrument)
    typed = {
        "nut_state": "later",
        "nut_seen": "loupe",
        "nut_evidence": "Bone, not ebony",
        "nut_certainty": "likely",
        "nut_note": "Well cut",
        "nut_when": "c. 1970",
        "nut_work_by": "A. Fettler",
        "nut_photograph": picture.token,
        "nut_paper": bill.token,
        "nut_seen_by": "B. Looker",
        "nut_original_kept": "on",
        "nut_original_where": "In the case",
    }
    assert post(helpers_desk, instrument, **typed).status_code == 302
    row = Finding.objects.get()
    assert (row.seen, row.certainty, row.work_by, row.seen_by) == (
        "loupe",
        "likely",
        "A. Fettler",
        "B. Looker",
    )
    assert (row.photograph, row.paper) == (picture, bill)
    assert (row.original_kept, row.original_where) == (True, "In the case")
    assert (row.when, row.when_edtf, row.when_earliest) == ("c. 1970", "1970~", 1970)
    form = helpers_desk.get(address(instrument)).context["form"]
    nut = next(one for one in form.rows if one.part.slug == "nut")
    shown = {f"nut_{name}": nut[name].value() for name in nut.fields}
    assert shown == {**typed, "nut_original_kept": True}
    assert [(one.part.slug, one.gist()) for one in form.rows if one.gist()] == [
        (
            "nut",
            "Likely · 1: The nut · Bill of 1931 · Well cut · c. 1970 · A. Fettler · B. Looker"
            " · The original part comes with it · In the case",
        )
    ]
    # A second date is read again, though the row is changed and not made.
    assert post(helpers_desk, instrument, nut_when="1975 to 1980").status_code == 302
    row = Finding.objects.get()
    assert (row.when_edtf, row.when_earliest, row.when_latest) == ("1975/1980", 1975, 1980)
    # And saved as it stands, nothing differs.
    revision = Instrument.objects.get(pk=instrument.pk).revision
    assert post(helpers_desk, instrument).status_code == 302
    assert Instrument.objects.get(pk=instrument.pk).revision == revision


def test_the_history_tells_the_rows_that_differ_in_words(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    post(helpers_desk, instrument, rim_state="original", rim_seen="eye", nut_state="missing")
    post(helpers_desk, instrument, nut_original_kept="on", nut_original_where="In the case")
    told = Entry.objects.filter(about="instrument", about_id=instrument.pk, field="originality").order_by(
        "pk"
    )
    assert [(entry.old, entry.new) for entry in told] == [
        ("", "Rim · Original · Seen · Certain\nNut · Missing · Certain"),
        (
            "Nut · Missing · Certain",
            "Nut · Missing · Certain · the original part comes with it · In the case",
        ),
    ]


def test_only_a_part_that_differs_is_put_down_to_the_person(
    owners_desk: Client, helpers_desk: Client, owner: User, helper: User
) -> None:
    instrument = InstrumentFactory()
    post(owners_desk, instrument, rim_state="original", rim_evidence="Stamp")
    post(helpers_desk, instrument, head_state="later", head_evidence="Plastic")
    examined = dict(Finding.objects.values_list("part__slug", "examined_by"))
    assert examined == {"rim": owner.pk, "head": helper.pk}


def test_a_state_that_claims_needs_how_it_was_seen_or_known(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    page = post(
        helpers_desk, instrument, rim_state="original", head_state="later", head_evidence="Plastic, not skin"
    ).text
    assert "Say how it was seen, or how you know it, of the part “Rim”." in page
    assert 'href="#id_rim-evidence"' in page
    assert 'id="id_rim-evidence"' in page
    assert "Plastic, not skin" in page
    assert not Finding.objects.exists()
    assert post(helpers_desk, instrument, rim_state="original", rim_seen="eye").status_code == 302


def test_missing_and_unknown_need_no_evidence(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    post(helpers_desk, instrument, rim_state="unknown", case_state="missing")
    assert dict(Finding.objects.values_list("part__slug", "state")) == {"rim": "unknown", "case": "missing"}


@pytest.mark.parametrize(
    ("typed", "anchor", "says"),
    [
        (
            {"rim_state": "original", "rim_seen": "eye", "rim_original_kept": "on"},
            "id_rim-original_kept",
            "An original lies by only where the part “Rim” was replaced or is missing.",
        ),
        (
            {"rim_state": "later", "rim_seen": "eye", "rim_original_where": "In the case"},
            "id_rim-original_where",
            "Tick that the original part comes with it, or leave this empty.",
        ),
        (
            {"rim_state": "later", "rim_seen": "eye", "rim_when": "the year of the flood"},
            "id_rim-when",
            "cannot be read as a date",
        ),
    ],
)
def test_what_cannot_be_kept_changes_nothing_and_stands_open_with_its_sentence(
    helpers_desk: Client, typed: dict[str, str], anchor: str, says: str
) -> None:
    instrument = InstrumentFactory()
    answer = post(helpers_desk, instrument, **typed)
    assert answer.status_code == 200
    assert says in answer.text
    assert f'href="#{anchor}"' in answer.text
    assert f'id="{anchor}"' in answer.text
    assert [row.part.slug for row in answer.context["form"].rows if row.opened()] == ["rim"]
    assert not Finding.objects.exists()


def test_only_this_instruments_ready_pictures_and_papers_are_offered(helpers_desk: Client) -> None:
    instrument, other = InstrumentFactory(), InstrumentFactory()
    mine = PhotographFactory(instrument=instrument, caption="My nut")
    waiting = PhotographFactory(
        instrument=instrument, state=Photograph.State.WAITING, width=None, height=None, caption="Not yet"
    )
    theirs, bill = PhotographFactory(instrument=other, caption="Their nut"), paper(instrument)
    their_bill = paper(other, title="Their bill")
    page = helpers_desk.get(address(instrument)).text
    assert "1: My nut" in page
    assert bill.title in page
    for hidden in ("Their nut", "Not yet", "Their bill"):
        assert hidden not in page
    for name, token, says in [
        ("photograph", theirs.token, "This picture is no longer on this record. Choose another."),
        ("photograph", waiting.token, "This picture is no longer on this record. Choose another."),
        ("paper", their_bill.token, "This paper is no longer on this record. Choose another."),
    ]:
        rows = {"rim_state": "original", "rim_seen": "eye", f"rim_{name}": token}
        assert says in post(helpers_desk, instrument, **rows).text
    assert not Finding.objects.exists()
    assert post(helpers_desk, instrument, rim_state="missing", rim_photograph=mine.token).status_code == 302


def test_the_page_asks_no_more_for_many_rows_than_for_one(
    helpers_desk: Client, django_assert_max_num_queries: Any
) -> None:
    counts = []
    for many in (1, 20):
        instrument = InstrumentFactory()
        bill = paper(instrument)
        for part in Part.objects.filter(kind=instrument.kind, children=None)[:many]:
            Finding.objects.create(
                instrument=instrument,
                part=part,
                state="later",
                seen="eye",
                photograph=PhotographFactory(instrument=instrument),
                paper=bill,
                examined_at=NOON,
            )
        with django_assert_max_num_queries(32) as asked:
            assert helpers_desk.get(address(instrument)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_word_stands_on_the_overview_and_above_the_rows_from_what_is_kept(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(configuration_made=None)
    overview = reverse("record", args=[instrument.stock_id])
    assert "Not yet examined" in helpers_desk.get(overview).text
    post(
        helpers_desk,
        instrument,
        neck_wood_state="later",
        neck_wood_seen="eye",
        armrest_state="never-fitted",
        armrest_seen="eye",
    )
    says = "Replaced neck; 1 of 30 parts examined"
    assert says in helpers_desk.get(overview).text
    assert "1 of 30</dd>" in helpers_desk.get(overview).text
    # What is typed and not kept changes no word.
    answer = post(helpers_desk, instrument, rim_state="original")
    assert "Say how it was seen" in answer.text
    assert says in answer.text


def test_there_is_one_key_for_each_state() -> None:
    assert sorted(key.state for key in KEYS) == sorted(Finding.State.values)
    assert len({key.letter for key in KEYS}) == len(KEYS)
    assert {key.state for key in KEYS if not key.claims} == NO_EVIDENCE_NEEDED
