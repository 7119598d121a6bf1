"""A whole thread as a mailbox file and as PDF: every message, in order, as it was; and nothing of it is obeyed."""

import contextlib
import io
import mailbox as stdlib
import re
from datetime import timedelta
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from inquiries.mail.actions import join, take_in
from inquiries.mail.keeping import message_path
from inquiries.models import Inquiry, Message, ReceivedMail
from inquiries.papers.mailbox_file import entry, sender_of
from inquiries.papers.thread_paper import content, plain
from inquiries.threads.actions import add_message, answer, lay_aside
from shop.models import ShopProfile, User
from shop.profile.queries import the_shop
from shop.typesetting import lacking_in
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import ask

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
THEIRS = (
    b"From: Orla <orla@post.example>\r\nTo: desk@shop.example\r\nSubject: =?utf-8?q?Caf=C3=A9?=\r\n"
    b"Message-ID: <theirs@post.example>\r\nContent-Type: text/plain; charset=iso-8859-1\r\n\r\n"
    b"From here it looks \xe9tonnant.\r\n>From there too.\r\nFrom: is no such line.\r\n"
)
HOSTILE = '#panic("x") #eval("1") *bold* _it_ $x^2$ @ref <label> `raw` \\ // no /* no */ = Heading #read("/etc/passwd")'


@pytest.fixture
def inquiry(profile: ShopProfile) -> Inquiry:
    contact = ContactFactory(name="Orla Vandemoor", email="orla@post.example")
    made: Inquiry = InquiryFactory(contact=contact, instrument=InstrumentFactory(listed=True))
    return made


def mbox(browser: Client, inquiry: Inquiry) -> bytes:
    answered = browser.get(reverse("thread-mbox", args=[inquiry.pk]))
    assert answered.status_code == 200
    assert answered["Content-Type"] == "application/mbox"
    assert answered["Content-Disposition"].startswith("attachment;")
    assert "sandbox" in answered["Content-Security-Policy"]
    return b"".join(answered.streaming_content)  # type: ignore[arg-type]


def opened(data: bytes, folder: Path) -> list[stdlib.mboxMessage]:
    """The messages as the standard library's reader of mailboxes finds them."""
    (folder / "thread.mbox").write_bytes(data)
    with contextlib.closing(stdlib.mbox(folder / "thread.mbox")) as found:
        return list(found)


def raw_messages(data: bytes) -> list[bytes]:
    """The messages with the marks of their quoting taken away, as mboxrd has it."""
    parts = re.split(rb"^From .*\n", data, flags=re.MULTILINE)
    assert parts[0] == b""
    return [re.sub(rb"^>(>*From )", rb"\1", part, flags=re.MULTILINE)[:-1] for part in parts[1:]]


def pdf(browser: Client, inquiry: Inquiry) -> PdfReader:
    answered = browser.get(reverse("thread-pdf", args=[inquiry.pk]))
    assert answered.status_code == 200
    assert answered["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(answered.content))


def words(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_theirs_stands_as_received_and_ours_as_sent(
    inquiry: Inquiry, helpers: Client, helper: User, tmp_path: Path
) -> None:
    join(take_in(THEIRS, at=NOON), inquiry, by=None, at=NOON)
    sent = answer(inquiry, "It is here.\n\nFrom Monday on we are open.", by=helper, at=NOON + HOUR)
    Message.objects.filter(pk=sent.pk).update(delivery="sent")
    data = mbox(helpers, inquiry)
    theirs, ours = raw_messages(data)
    assert theirs == THEIRS.replace(b"\r\n", b"\n")
    assert ours == sent.wire.encode().replace(b"\r\n", b"\n")
    first, second = opened(data, tmp_path)
    assert first.get_from() == "orla@post.example Wed Jun 10 12:00:00 2026"
    assert first["Message-ID"] == "<theirs@post.example>"
    assert second["Message-ID"] == sent.message_id
    assert b"\n>From here it looks \xe9tonnant.\n>>From there too.\nFrom: is" in data


def test_what_was_said_otherwise_is_a_plain_message_that_says_so(
    inquiry: Inquiry, helpers: Client, helper: User, tmp_path: Path
) -> None:
    ask(inquiry, at=NOON)
    add_message(
        inquiry,
        "He called.\nFrom Bremen, über Köln.",
        ours=False,
        channel="telephone",
        by=helper,
        at=NOON + HOUR,
    )
    add_message(inquiry, "She came by.", ours=True, channel="visit", by=helper, at=NOON + 2 * HOUR)
    form, call, visit = (
        message_from_bytes(raw, policy=default) for raw in raw_messages(mbox(helpers, inquiry))
    )
    assert [one["X-Noted-From"] for one in (form, call, visit)] == ["form", "telephone", "visit"]
    assert form.get_content().startswith("[Form on the site, 10 June 2026, ")
    assert f"[Telephone, 10 June 2026, 09:00. Noted by {helper}]" in call.get_content()
    assert "From Bremen, über Köln." in call.get_content()
    assert call["From"].addresses[0].addr_spec == "orla@post.example"
    assert visit["From"].addresses[0].addr_spec == the_shop().email
    assert f"Written by {helper}" in visit.get_content()


def test_a_mail_that_has_not_gone_says_so(inquiry: Inquiry, helpers: Client, helper: User) -> None:
    answer(inquiry, "It is here.", by=helper, at=NOON)
    (raw,) = raw_messages(mbox(helpers, inquiry))
    assert message_from_bytes(raw, policy=default)["X-Shop-Delivery"] == "Waiting to be sent"


def test_a_mail_whose_bytes_are_gone_stands_by_its_words(inquiry: Inquiry, helpers: Client) -> None:
    mail = take_in(THEIRS, at=NOON)
    join(mail, inquiry, by=None, at=NOON)
    message_path(mail.sha256).unlink()
    (raw,) = raw_messages(mbox(helpers, inquiry))
    read = message_from_bytes(raw, policy=default)
    assert "The mail as received is no longer kept" in read.get_content()
    assert "étonnant" in read.get_content()
    assert read["Subject"] == "Café"
    ReceivedMail.objects.update(sha256="", from_email="", subject="Erased")  # as after an erasure
    assert b"no longer kept" in mbox(helpers, inquiry)


@pytest.mark.parametrize(
    ("raw", "sender"),
    [
        (b"From: Orla <orla@post.example>\n\nx", "orla@post.example"),
        (b'From: "Two\nlines" <a@b.example>\n\nx', "MAILER-DAEMON"),
        (b"From: nobody at all\n\nx", "MAILER-DAEMON"),
        (b"From: <>\n\nx", "MAILER-DAEMON"),
        (b"Subject: no sender\n\nFrom: x@y.example", "MAILER-DAEMON"),
        (b"\xff\xfe\x00", "MAILER-DAEMON"),
        (b"", "MAILER-DAEMON"),
    ],
)
def test_the_first_line_holds_an_address_or_none(raw: bytes, sender: str, tmp_path: Path) -> None:
    assert sender_of(raw) == sender
    assert (
        len(opened(entry(raw, sender, NOON) + entry(b"Subject: next\n\ny", "a@b.example", NOON), tmp_path))
        == 2
    )


@pytest.mark.parametrize(
    "text", ["From x", ">From x", ">>From x\nFrom y", "a\r\nFrom x\r\n", "\n\nFrom a@b Thu\n\n"]
)
def test_no_text_begins_a_message_of_its_own(text: str, tmp_path: Path) -> None:
    raw = b"Subject: x\n\n" + text.encode()
    data = entry(raw, "a@b.example", NOON)
    assert len(opened(data, tmp_path)) == 1
    assert raw_messages(data)[0].rstrip(b"\n") == raw.replace(b"\r\n", b"\n").rstrip(b"\n")


def test_a_thread_in_which_nothing_was_said(inquiry: Inquiry, helpers: Client) -> None:
    assert mbox(helpers, inquiry) == b""
    reader = pdf(helpers, inquiry)
    assert len(reader.pages) == 1
    assert "Nothing has been said yet." in words(reader)
    assert "Page 1 of 1" in words(reader)


def test_the_paper_has_who_what_when_and_how(inquiry: Inquiry, helpers: Client, helper: User) -> None:
    raw = (
        b"From: Orla <orla@post.example>\r\nSubject: Two pictures\r\nMessage-ID: <t@post.example>\r\n"
        b"MIME-Version: 1.0\r\nContent-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\n\r\nHere they are.\r\n\r\n"
        b"> As you wished.\r\n--x\r\nContent-Type: image/png; name=back.png\r\n\r\nnone\r\n--x--\r\n"
    )
    join(take_in(raw, at=NOON), inquiry, by=None, at=NOON)
    add_message(inquiry, "Thanked her.", ours=True, channel="telephone", by=helper, at=NOON + HOUR)
    reader, stock = pdf(helpers, inquiry), inquiry.instrument
    said = words(reader)
    for part in (
        "Letters with Orla Vandemoor", f"No. {stock.stock_id}" if stock else "", the_shop().name, "Two pictures",
        "Here they are.", "back.png", "What it quotes is left out here.", "Thanked her.", "Telephone",
        "10 June 2026, 08:00", "10 June 2026, 09:00", str(helper), "2 messages", "America/New York",
    ):  # fmt: skip
        assert part in said, part
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    assert reader.metadata and reader.metadata.title == "Letters with Orla Vandemoor"  # noqa: PT018 - one thing


def test_a_hostile_text_is_text(inquiry: Inquiry, helpers: Client) -> None:
    inquiry.contact.name = HOSTILE[:100]
    inquiry.contact.save()
    join(
        take_in(b"From: a@b.example\r\nSubject: " + HOSTILE.encode() + b"\r\n\r\nx", at=NOON),
        inquiry,
        by=None,
        at=NOON,
    )
    ask(inquiry, at=NOON, body=f'{HOSTILE}\n\n] }} ) #let x = 1 "\\u{{0}}"')
    said = words(pdf(helpers, inquiry))
    assert '#panic("x") #eval("1") *bold* _it_ $x^2$ @ref <label> `raw`' in said
    assert "/etc/passwd" in said
    assert "root:" not in said


@pytest.mark.parametrize(
    ("text", "boxes"),
    [
        ("мир, שלום, Ωμέγα, ♭ ✓ “good”", False),
        ("你好 \U0001f600 ก", True),
        ("\ufffe\ud800 \x00\x07 \u202eabc \u200d", None),
        ("".join(chr(sign) for sign in range(0x900, 0x1200)), True),
        ("e\u0301 \u0915\u0301\u064b o\u0e31 \u0301\u0905", True),
    ],
)
def test_a_sign_that_no_typeface_has_stands_as_a_box(
    text: str, boxes: bool | None, inquiry: Inquiry, helpers: Client
) -> None:
    ask(inquiry, at=NOON, body="Hello.")
    made = content(inquiry, the_shop(), at=NOON)
    made["messages"][0]["paragraphs"] = [[plain(text)]]
    if boxes is not None:
        assert bool(lacking_in(text)) is boxes
        Message.objects.update(body=text)
        assert ("Signs that this paper has no type for" in words(pdf(helpers, inquiry))) is boxes
    else:
        assert plain(text) in {" abc ", "  abc \u200d", " abc \u200d"}


def test_a_very_long_word_stays_on_the_page(inquiry: Inquiry, helpers: Client) -> None:
    ask(inquiry, at=NOON, body="https://post.example/" + "a" * 2000)
    said = pdf(helpers, inquiry).pages[0].extract_text()
    assert max(len(line) for line in said.splitlines()) < 130


def test_three_hundred_messages(inquiry: Inquiry, helpers: Client, tmp_path: Path) -> None:
    Message.objects.bulk_create(
        Message(
            inquiry=inquiry, ours=bool(number % 2), channel="form", body=f"Word {number}. " + "And more of it. " * 20,
            at=NOON + number * HOUR, message_id=f"<{number}@post.example>",
        )
        for number in range(300)
    )  # fmt: skip
    lay_aside(inquiry, by=None, at=NOON + 400 * HOUR)
    reader = pdf(helpers, inquiry)
    said, pages = words(reader), len(reader.pages)
    assert pages > 20
    assert f"Page {pages} of {pages}" in said
    assert [said.index(f"Word {number}.") for number in range(300)] == sorted(
        said.index(f"Word {number}.") for number in range(300)
    )
    messages = opened(mbox(helpers, inquiry), tmp_path)
    assert [message["Message-ID"] for message in messages] == [
        f"<{number}@post.example>" for number in range(300)
    ]


def test_the_page_of_a_thread_leads_to_both(inquiry: Inquiry, helpers: Client, client: Client) -> None:
    page = helpers.get(reverse("inquiry", args=[inquiry.pk])).content.decode()
    for name in ("thread-mbox", "thread-pdf"):
        address = reverse(name, args=[inquiry.pk])
        assert f'href="{address}"' in page
        assert client.get(address).status_code == 302
        assert helpers.get(reverse(name, args=[987654])).status_code == 404
        assert helpers.post(address).status_code == 405
