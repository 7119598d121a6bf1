"""Mail at the desk: sorted by a press, saved and never opened."""

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from inquiries.mail.actions import take_in
from inquiries.mail.addresses import reply_address
from inquiries.mail.models import MailFolder, ReceivedMail
from inquiries.models import Inquiry, Message
from inquiries.threads.actions import answer
from shop.history.models import Entry
from shop.jobs.worker import drain
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.mail.letters import SHOP, letter, raw, returned


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.MAIL_DIR, settings.PRINTS_DIR = tmp_path / "letters", tmp_path / "prints"


@pytest.fixture
def inquiry(owner: Any) -> Inquiry:
    made = InquiryFactory(contact__name="Ines Vale", contact__email="ines@post.example")
    answer(made, "It is.", by=None, at=NOON)
    return made


def body_of(answer: Any) -> bytes:
    return b"".join(answer.streaming_content)


def at(name: str, *parts: Any) -> str:
    return reverse(name, args=parts)


def test_a_guess_is_shown_with_its_reason_and_one_press_confirms_it(
    helpers: Client, inquiry: Inquiry
) -> None:
    mail = take_in(raw(Subject="Hello again"), at=NOON)
    page = helpers.get(at("mail")).text
    assert "Ines Vale has one open thread, and it is this one." in page
    assert "Yes, it belongs there" in page
    answered = helpers.post(at("mail-join", mail.pk), {"thread": inquiry.pk}, follow=True)
    assert answered.redirect_chain == [(at("inquiry", inquiry.pk), 302)]
    assert "Is it still there?" in answered.text
    assert "No mail waits to be sorted." in helpers.get(at("mail")).text
    assert helpers.get(at("mail-received", mail.pk))["Location"] == at("inquiry", inquiry.pk)


def test_another_thread_is_found_by_words_and_chosen(helpers: Client, inquiry: Inquiry) -> None:
    mail = take_in(raw(From="Zed <zed@z.example>"), at=NOON)
    page = helpers.get(at("mail-received", mail.pk)).text
    assert "Write a name, an address or a stock number." in page
    page = helpers.get(at("mail-received", mail.pk), {"find": "vale"}).text
    assert f'value="{inquiry.pk}"' in page
    assert "No thread is found" in helpers.get(at("mail-received", mail.pk), {"find": "nobody"}).text
    helpers.post(at("mail-join", mail.pk), {"thread": inquiry.pk})
    thread = helpers.get(at("inquiry", inquiry.pk)).text
    assert "It came from Zed, zed@z.example, which is not known as an address of Ines Vale." in thread


def test_an_address_is_theirs_too_by_one_press(helpers: Client, inquiry: Inquiry) -> None:
    mail = take_in(raw(From="I. Vale <ines@work.example>", To=reply_address(inquiry.pk, SHOP)), at=NOON)
    page = at("inquiry", inquiry.pk)
    assert "which is not known as an address of Ines Vale" in helpers.get(page).text
    assert "Writes from more than one address" in helpers.get(page).text
    answered = helpers.post(at("mail-theirs", mail.pk), follow=True)
    assert answered.redirect_chain == [(page, 302)]
    assert "ines@work.example is known as an address of Ines Vale now." in answered.text
    assert "not known as an address" not in answered.text
    assert "Writes from more than one address" not in answered.text
    assert inquiry.contact.other_addresses.get().email == "ines@work.example"
    helpers.post(at("mail-theirs", mail.pk))
    assert inquiry.contact.other_addresses.count() == 1
    told = Entry.objects.filter(verb="has another address")
    assert [(row.new, row.by is not None) for row in told] == [("ines@work.example", True)]


def test_an_address_of_somebody_else_is_refused(helpers: Client, inquiry: Inquiry) -> None:
    InquiryFactory(contact__name="Tom Orrery", contact__email="tom@post.example")
    mail = take_in(raw(From="Tom <tom@post.example>", To=reply_address(inquiry.pk, SHOP)), at=NOON)
    answered = helpers.post(at("mail-theirs", mail.pk), follow=True)
    assert "Tom Orrery is known by this e-mail address." in answered.text
    assert not inquiry.contact.other_addresses.exists()


def test_a_mail_in_no_thread_is_nobodys_yet(helpers: Client, owner: Any) -> None:
    mail = take_in(raw(), at=NOON)
    answered = helpers.post(at("mail-theirs", mail.pk), follow=True)
    assert "This mail is in no thread yet" in answered.text


def test_what_a_machine_sent_is_not_said_to_be_theirs(helpers: Client, inquiry: Inquiry) -> None:
    parent = Message.objects.get(inquiry=inquiry).message_id
    take_in(returned(parent), at=NOON)
    page = helpers.get(at("inquiry", inquiry.pk)).text
    assert "<b>Mail Delivery System</b>" in page
    assert "which is not known as an address" not in page


def test_no_thread_chosen_is_said(helpers: Client, inquiry: Inquiry) -> None:
    mail = take_in(raw(From="Zed <zed@z.example>"), at=NOON)
    assert "Choose the thread that it belongs to." in helpers.post(at("mail-join", mail.pk)).text


def test_a_new_thread_is_opened_about_a_piece_or_another_matter(helpers: Client, owner: Any) -> None:
    instrument = InstrumentFactory(listed=True)
    first, second = take_in(raw("One\n"), at=NOON), take_in(raw("Two\n", Subject="Re: Repairs"), at=NOON)
    page = helpers.get(at("mail-received", second.pk)).text
    assert 'value="Ines Vale"' in page
    assert 'value="Repairs"' in page
    given = {"name": "Ines Vale", "stock": instrument.stock_id, "matter": ""}
    helpers.post(at("mail-open", first.pk), given)
    helpers.post(at("mail-open", second.pk), {"name": "Ines Vale", "stock": "", "matter": "Repairs"})
    assert {inquiry.about for inquiry in Inquiry.objects.all()} == {instrument.name, "Repairs"}
    assert Inquiry.objects.values("contact").distinct().count() == 1


def test_what_is_missing_or_unknown_is_said_and_kept(helpers: Client, owner: Any) -> None:
    mail = take_in(raw(), at=NOON)
    page = helpers.post(at("mail-open", mail.pk), {"name": "Ines", "stock": "999999", "matter": ""}).text
    assert "No instrument has this number." in page
    assert 'value="999999"' in page
    page = helpers.post(at("mail-open", mail.pk), {"name": "Ines", "stock": "", "matter": ""}).text
    assert "Write the stock number of the piece, or the other matter that it is about." in page


def test_what_is_laid_by_can_be_brought_back(helpers: Client, owner: Any) -> None:
    mail = take_in(raw(X_Spam_Flag="YES"), at=NOON)
    page = helpers.get(at("mail"), {"show": "laid-by"}).text
    assert "Your mail server takes it for spam" in page
    helpers.post(at("mail-bring-back", mail.pk))
    assert "Is it still there?" in helpers.get(at("mail")).text
    helpers.post(at("mail-lay-by", mail.pk))
    assert "No mail waits to be sorted." in helpers.get(at("mail")).text


def test_trouble_with_the_mailbox_is_seen(helpers: Client, owner: Any) -> None:
    MailFolder.objects.create(name="INBOX of desk", trouble="The mailbox cannot be reached.")
    for page in ("mail", "today"):
        assert "The mailbox cannot be reached." in helpers.get(at(page)).text


def with_a_picture_and_a_page() -> bytes:
    message = letter("See below.\n")
    message.add_alternative(
        '<p>See <b>below</b><img src="http://watch.tracker.example/p.png"></p>', subtype="html"
    )
    picture = BytesIO()
    Image.new("RGB", (600, 400), "#876").save(picture, "JPEG")
    message.add_attachment(picture.getvalue(), maintype="image", subtype="jpeg", filename="top.jpg")
    message.add_attachment(b"<script>alert(1)</script>", maintype="text", subtype="html", filename="in.html")
    return message.as_bytes()


def test_what_came_with_a_mail_is_saved_and_never_opened(helpers: Client, inquiry: Inquiry) -> None:
    wire = with_a_picture_and_a_page()
    mail = take_in(wire, at=NOON)
    drain(clock=lambda: NOON)
    helpers.post(at("mail-join", mail.pk), {"thread": inquiry.pk})
    picture, markup = mail.attachments.all()
    thread = helpers.get(at("inquiry", inquiry.pk)).text
    assert at("mail-picture", picture.token, 400) in thread
    assert "tracker.example" not in thread
    assert "See <b>below</b>" in thread
    saved = helpers.get(at("mail-attachment", markup.token))
    assert saved["Content-Disposition"] == 'attachment; filename="in.html"'
    assert saved["Content-Type"] == "application/octet-stream"
    assert saved["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert saved["X-Content-Type-Options"] == "nosniff"
    assert body_of(saved) == b"<script>alert(1)</script>"
    whole = helpers.get(at("mail-whole", mail.pk))
    assert whole["Content-Disposition"].endswith('.eml"')
    assert body_of(whole) == wire


def test_a_print_is_shown_at_the_width_there_is(helpers: Client, owner: Any) -> None:
    picture = take_in(with_a_picture_and_a_page(), at=NOON).attachments.get(position=0)
    assert helpers.get(at("mail-picture", picture.token, 400)).status_code == 404, "not made yet"
    drain(clock=lambda: NOON)
    for width in (400, 800, 1600):
        shown = helpers.get(at("mail-picture", picture.token, width))
        assert (shown.status_code, shown["Content-Type"]) == (200, "image/webp")
        assert body_of(shown)[8:12] == b"WEBP"
    assert helpers.get(at("mail-picture", picture.token, 401)).status_code == 404


def test_a_message_without_its_file_is_not_there(helpers: Client, owner: Any, settings: Any) -> None:
    mail = take_in(raw(), at=NOON)
    settings.MAIL_DIR = settings.MAIL_DIR / "gone"
    assert helpers.get(at("mail-whole", mail.pk)).status_code == 404
    assert helpers.get(at("mail-received", mail.pk)).status_code == 200


def test_a_long_list_costs_what_a_short_one_costs(helpers: Client, inquiry: Inquiry) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            helpers.get(at("mail"))
        return len(seen)

    take_in(with_a_picture_and_a_page(), at=NOON)
    queries()
    few = queries()
    for number in range(12):
        take_in(raw(f"Number {number}\n"), at=NOON)
    assert ReceivedMail.objects.count() == 13
    assert queries() == few


def test_a_long_thread_of_mail_costs_what_a_short_one_costs(helpers: Client, inquiry: Inquiry) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            helpers.get(at("inquiry", inquiry.pk))
        return len(seen)

    parent = Message.objects.get(inquiry=inquiry).message_id
    take_in(raw("One\n", In_Reply_To=parent), at=NOON)
    queries()
    few = queries()
    for number in range(8):
        take_in(raw(f"Number {number}\n", In_Reply_To=parent), at=NOON)
    assert queries() == few
