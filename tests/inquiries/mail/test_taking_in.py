"""Each mail goes where it belongs, and nothing is answered by itself."""

from datetime import timedelta
from email.message import EmailMessage
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.db import DataError
from PIL import Image

from inquiries.mail import actions
from inquiries.mail.actions import bring_back, join, lay_by, open_from, take_in
from inquiries.mail.addresses import reply_address
from inquiries.mail.keeping import file_path, message_path
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.mail.queries import laid_by, strangers_in, to_sort
from inquiries.models import Contact, Inquiry, Message, OtherAddress
from inquiries.threads.actions import answer, lay_aside
from shop.history.models import Entry
from shop.jobs.worker import drain
from shop.models import Job, User
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, InquiryFactory, InstrumentFactory, ShopFactory
from tests.inquiries.mail.letters import SHOP, letter, raw, returned

Sort, Place, Delivery = ReceivedMail.Sort, ReceivedMail.Place, Message.Delivery
LATER = NOON + timedelta(hours=1)


@pytest.fixture(autouse=True)
def shop(db: None, settings: Any, tmp_path: Path) -> None:
    settings.MAIL_DIR, settings.PRINTS_DIR = tmp_path / "letters", tmp_path / "prints"
    ShopFactory()


@pytest.fixture
def helper() -> User:
    return HelperFactory()


@pytest.fixture
def inquiry() -> Inquiry:
    """A thread with Ines, in which our answer has gone out."""
    made = InquiryFactory(contact__name="Ines Vale", contact__email="ines@post.example")
    answer(made, "It is.", by=None, at=NOON - timedelta(hours=1))
    Message.objects.update(delivery=Delivery.SENT)
    return made


def ours(inquiry: Inquiry) -> Message:
    return inquiry.messages.get(ours=True)


def test_an_answer_goes_into_the_thread_of_the_mail_that_it_answers(inquiry: Inquiry) -> None:
    mail = take_in(raw("And the case?\n", In_Reply_To=ours(inquiry).message_id), at=NOON)
    assert (mail.place, mail.sort) == (Place.JOINED, Sort.PERSON)
    message = inquiry.messages.get(ours=False)
    assert (message.body.strip(), message.channel, message.at) == ("And the case?", "mail", NOON)
    assert message.message_id == mail.header_id
    assert message.in_reply_to == ours(inquiry).message_id
    inquiry.refresh_from_db()
    assert (inquiry.waiting_since, inquiry.last_at) == (NOON, NOON)


def test_the_next_of_ours_answers_theirs(inquiry: Inquiry) -> None:
    mail = take_in(raw("And the case?\n", In_Reply_To=ours(inquiry).message_id), at=NOON)
    reply = answer(inquiry, "I will look.", by=None, at=LATER)
    assert reply.in_reply_to == mail.header_id
    assert reply.references.split()[-1] == mail.header_id


def test_references_count_where_in_reply_to_is_missing_or_strange(inquiry: Inquiry) -> None:
    other = InquiryFactory(contact=inquiry.contact)
    answer(other, "Another.", by=None, at=NOON)
    references = f"<gone@x.example> {ours(other).message_id} {ours(inquiry).message_id} <new@x.example>"
    mail = take_in(raw(In_Reply_To="<nobody@knows.example>", References=references), at=NOON)
    assert mail.message is not None
    assert mail.message.inquiry == inquiry, "the newest that is known"


def test_the_signed_address_counts_where_nothing_else_does(inquiry: Inquiry) -> None:
    address = reply_address(inquiry.pk, SHOP)
    for number, heading in enumerate(("To", "Cc", "Delivered_To")):
        mail = take_in(raw(f"Number {number}\n", **{heading: address}), at=NOON)
        assert mail.place == Place.JOINED, heading
    forged = address.replace("@", "x@")
    assert take_in(raw("Forged\n", To=forged, From="Zed <zed@z.example>"), at=NOON).place == Place.ASIDE


def test_a_stranger_who_answers_never_becomes_the_person_of_the_thread(inquiry: Inquiry) -> None:
    mail = take_in(raw(From="Zed <zed@z.example>", In_Reply_To=ours(inquiry).message_id), at=NOON)
    assert mail.place == Place.JOINED
    assert strangers_in(inquiry, [mail]) == {mail.pk}
    inquiry.contact.refresh_from_db()
    assert (inquiry.contact.email, inquiry.contact.name) == ("ines@post.example", "Ines Vale")
    assert Contact.objects.count() == 1
    OtherAddress.objects.create(contact=inquiry.contact, email="ZED@z.example")
    assert strangers_in(inquiry, [mail]) == set()


def test_a_person_with_one_open_thread_is_a_guess_until_confirmed(inquiry: Inquiry, helper: User) -> None:
    mail = take_in(raw(Subject="Hello again"), at=NOON)
    assert (mail.place, mail.guess) == (Place.GUESSED, inquiry)
    assert mail.guess_why == "Ines Vale has one open thread, and it is this one."
    assert not inquiry.messages.filter(ours=False).exists()
    assert list(to_sort()) == [mail]
    first, second = (join(mail, inquiry, by=helper, at=LATER) for _ in range(2))
    assert first == second
    assert inquiry.messages.filter(ours=False).count() == 1
    assert not to_sort().exists()
    assert Entry.objects.filter(verb="mail joined", by=helper).exists()


def test_a_subject_is_a_guess_only(inquiry: Inquiry) -> None:
    mail = take_in(raw(From="Zed <zed@z.example>", Subject=f"AW: Re: {inquiry.subject}"), at=NOON)
    assert (mail.place, mail.guess) == (Place.GUESSED, inquiry)
    assert f"names no. {inquiry.instrument.stock_id}" in mail.guess_why  # type: ignore[union-attr]


def test_the_subject_of_another_matter_is_a_guess_too() -> None:
    about = InquiryFactory(instrument=None, matter="Repair of a peghead")
    mail = take_in(raw(From="Zed <zed@z.example>", Subject="Fwd: repair  of a Peghead"), at=NOON)
    assert (mail.place, mail.guess) == (Place.GUESSED, about)


def test_a_mail_that_fits_nowhere_opens_nothing_by_itself() -> None:
    mail = take_in(raw(), at=NOON)
    assert (mail.place, mail.guess) == (Place.ASIDE, None)
    assert list(to_sort()) == [mail]
    assert (Inquiry.objects.count(), Contact.objects.count(), Message.objects.count()) == (0, 0, 0)
    assert Job.objects.count() == 0, "nobody is answered"


def test_a_thread_is_opened_with_it_about_a_piece(helper: User) -> None:
    mail, instrument = take_in(raw(), at=NOON), InstrumentFactory(listed=True)
    message = open_from(mail, name="Ines Vale", instrument=instrument, by=helper, at=LATER)
    assert open_from(mail, name="Ines Vale", instrument=instrument, by=helper, at=LATER) == message
    assert (message.inquiry.instrument, message.inquiry.contact.email) == (instrument, "ines@post.example")
    assert (message.at, message.inquiry.opened_at) == (NOON, LATER)
    assert Job.objects.count() == 0


def test_a_thread_is_opened_with_it_about_another_matter(helper: User) -> None:
    mail = take_in(raw(Subject="Re: Repairs"), at=NOON)
    message = open_from(mail, name="Ines", matter="Repairs", by=helper, at=LATER)
    assert message.inquiry.about == "Repairs"
    assert message.inquiry.waiting_since == NOON


def test_what_came_before_our_answer_but_was_joined_after_it_still_waits(
    inquiry: Inquiry, helper: User
) -> None:
    mail = take_in(raw(Subject="Hello again"), at=NOON)
    answer(inquiry, "We have not seen your mail.", by=helper, at=LATER)
    join(mail, inquiry, by=helper, at=LATER + timedelta(hours=1))
    inquiry.refresh_from_db()
    assert inquiry.waiting_since == LATER + timedelta(hours=1)


def test_an_answer_opens_a_thread_that_was_laid_aside(inquiry: Inquiry) -> None:
    lay_aside(inquiry, by=None, at=NOON)
    take_in(raw(In_Reply_To=ours(inquiry).message_id), at=LATER)
    inquiry.refresh_from_db()
    assert (inquiry.done_at, inquiry.waiting_since) == (None, LATER)
    assert Entry.objects.filter(verb="taken up again").exists()


def test_or_goes_into_the_one_that_is_open_by_now(inquiry: Inquiry) -> None:
    lay_aside(inquiry, by=None, at=NOON)
    newer = InquiryFactory(contact=inquiry.contact, instrument=inquiry.instrument)
    mail = take_in(raw(In_Reply_To=ours(inquiry).message_id), at=LATER)
    assert mail.message is not None
    assert mail.message.inquiry == newer
    inquiry.refresh_from_db()
    assert inquiry.done_at == NOON


def test_a_mail_that_came_back_marks_the_message_and_is_in_the_thread(inquiry: Inquiry) -> None:
    mail = take_in(returned(ours(inquiry).message_id), at=NOON)
    assert (mail.sort, mail.place) == (Sort.BOUNCE, Place.JOINED)
    message = ours(inquiry)
    assert message.delivery == Delivery.STUCK
    assert message.trouble == "It came back undelivered. ines@post.example: 550 5.1.1 No such person here"
    note = inquiry.messages.get(ours=False)
    assert note.automatic
    inquiry.refresh_from_db()
    assert inquiry.waiting_since is None, "a machine waits for no answer"


def test_one_that_is_late_is_said_to_be_late(inquiry: Inquiry) -> None:
    take_in(returned(ours(inquiry).message_id, action="delayed"), at=NOON)
    message = ours(inquiry)
    assert message.delivery == Delivery.SENT
    assert message.trouble.startswith("It has not arrived yet")


def test_a_report_on_a_mail_that_is_not_ours_is_laid_by(inquiry: Inquiry) -> None:
    mail = take_in(returned("<somebody@else.example>"), at=NOON)
    assert (mail.sort, mail.place) == (Sort.BOUNCE, Place.ASIDE)
    assert ours(inquiry).delivery == Delivery.SENT
    assert list(laid_by()) == [mail]


def test_an_automatic_reply_is_in_the_thread_and_changes_nobodys_turn(inquiry: Inquiry) -> None:
    lay_aside(inquiry, by=None, at=NOON)
    away = raw("I am away.\n", In_Reply_To=ours(inquiry).message_id, Auto_Submitted="auto-replied (vacation)")
    mail = take_in(away, at=NOON)
    assert (mail.sort, mail.place) == (Sort.AUTOMATIC, Place.JOINED)
    inquiry.refresh_from_db()
    assert inquiry.done_at == NOON
    assert inquiry.waiting_since is None


@pytest.mark.parametrize(
    ("headings", "sort"),
    [
        ({"List_Id": "<talk.strings.example>"}, Sort.LIST),
        ({"X_Spam_Flag": "YES"}, Sort.SPAM),
        ({"Auto_Submitted": "auto-generated"}, Sort.AUTOMATIC),
        ({"Return_Path": "<>"}, Sort.BOUNCE),
        ({"From": f"The desk <{SHOP}>"}, Sort.OWN),
    ],
)
def test_what_no_person_wrote_opens_nothing_and_is_answered_by_nobody(
    headings: dict[str, str], sort: str, helper: User
) -> None:
    InquiryFactory(contact__email="ines@post.example")
    mail = take_in(raw(**headings), at=NOON)
    assert (mail.sort, mail.place) == (sort, Place.ASIDE)
    assert mail.why
    assert not to_sort().exists()
    assert (Message.objects.count(), Job.objects.count()) == (0, 0)
    bring_back(mail, by=helper, at=LATER)
    mail.refresh_from_db()
    assert mail.sort == Sort.PERSON
    assert list(to_sort()) == [mail]


def test_spam_that_answers_ours_is_shown_and_not_lost(inquiry: Inquiry) -> None:
    mail = take_in(raw(In_Reply_To=ours(inquiry).message_id, X_Spam_Status="Yes, score=7"), at=NOON)
    assert (mail.sort, mail.place, mail.guess) == (Sort.SPAM, Place.GUESSED, inquiry)
    assert list(to_sort()) == [mail]


def test_our_own_mail_that_comes_back_as_a_copy_is_laid_by(inquiry: Inquiry) -> None:
    mail = take_in(ours(inquiry).wire.encode(), at=NOON)
    assert (mail.sort, mail.place) == (Sort.OWN, Place.ASIDE)
    assert inquiry.messages.count() == 1


def test_laid_by_hand_it_waits_for_nobody_and_can_be_brought_back(helper: User) -> None:
    mail = take_in(raw(), at=NOON)
    lay_by(mail, by=helper, at=LATER)
    assert (list(to_sort()), list(laid_by())) == ([], [mail])
    bring_back(mail, by=helper, at=LATER)
    assert list(to_sort()) == [mail]


def test_a_mail_in_a_thread_is_not_laid_by_nor_moved(inquiry: Inquiry, helper: User) -> None:
    mail = take_in(raw(In_Reply_To=ours(inquiry).message_id), at=NOON)
    for deed in (lay_by, bring_back):
        with pytest.raises(Refused):
            deed(mail, by=helper, at=LATER)
    with pytest.raises(Refused):
        join(mail, InquiryFactory(), by=helper, at=LATER)


def test_the_same_message_is_one_row_however_it_came() -> None:
    first = take_in(raw(), at=NOON)
    by_another_way = b"Received: from mx.example\r\n" + raw().replace(b"\n", b"\r\n")
    assert take_in(by_another_way, at=LATER) == first
    assert take_in(raw("Other words, same number\n", Message_ID=first.header_id), at=LATER) != first
    assert ReceivedMail.objects.count() == 2


def test_two_persons_without_message_ids_may_ask_in_the_same_words() -> None:
    take_in(raw(Message_ID=""), at=NOON)
    take_in(raw(Message_ID="", From="Cole <cole@post.example>"), at=NOON)
    take_in(raw(Message_ID="", Date=""), at=NOON)
    take_in(raw(Message_ID="", Date="", From="Cole <cole@post.example>"), at=NOON)
    assert ReceivedMail.objects.count() == 4


def test_the_bytes_are_on_disk_before_the_database_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*given: Any, **more: Any) -> ReceivedMail:
        raise RuntimeError("no database")

    monkeypatch.setattr(actions, "_enter", fails)
    with pytest.raises(RuntimeError):
        take_in(raw(), at=NOON)
    monkeypatch.undo()
    mail = take_in(raw(), at=NOON)
    assert message_path(mail.sha256).read_bytes() == raw()


def test_what_the_database_does_not_hold_is_kept_without_its_form(monkeypatch: pytest.MonkeyPatch) -> None:
    enter = actions._enter

    def picky(reading: Any, *given: Any, **more: Any) -> ReceivedMail:
        if reading.body:
            raise DataError("a letter it does not know")
        return enter(reading, *given, **more)

    monkeypatch.setattr(actions, "_enter", picky)
    mail = take_in(raw(), at=NOON)
    assert (mail.sort, mail.body) == (Sort.UNREADABLE, "")
    assert list(to_sort()) == [mail]
    assert message_path(mail.sha256).read_bytes() == raw()


def with_files(*files: tuple[str, str, bytes]) -> bytes:
    message: EmailMessage = letter()
    for name, kind, data in files:
        main, _, sub = kind.partition("/")
        message.add_attachment(data, maintype=main, subtype=sub, filename=name)
    return message.as_bytes()


def test_what_came_with_it_is_kept_and_what_is_odd_is_said() -> None:
    mail = take_in(
        with_files(
            ("../../etc/bill.pdf", "application/pdf", b"%PDF-1.7 and so on"),
            ("bill.pdf", "application/pdf", b"MZ\x90\x00"),
            ("photo.jpg", "image/jpeg", b"%PDF-1.7"),
            ("see this\u202efdp.exe", "application/octet-stream", b"text"),
        ),
        at=NOON,
    )
    plain, program, posing, turned = mail.attachments.all()
    assert (plain.name, plain.trouble) == ("bill.pdf", "")
    assert "is a program" in program.trouble
    assert posing.trouble == "Its name says that it is a picture (JPEG); it is a PDF."
    assert turned.name == "see thisfdp.exe"
    assert "can run as a program" in turned.trouble
    assert file_path(plain.sha256).read_bytes() == b"%PDF-1.7 and so on"


def test_pictures_get_prints_and_a_damaged_one_is_still_there() -> None:
    out = BytesIO()
    Image.new("RGB", (600, 400), "#876").save(out, "JPEG")
    mail = take_in(
        with_files(
            ("top.jpg", "image/jpeg", out.getvalue()), ("cut.jpg", "image/jpeg", out.getvalue()[:200])
        ),
        at=NOON,
    )
    assert set(mail.attachments.values_list("prints", flat=True)) == {Attachment.Prints.WAITING}
    drain(clock=lambda: NOON)
    assert list(mail.attachments.values_list("prints", flat=True)) == ["ready", "refused"]


def test_the_headings_alone_of_what_is_too_large_say_where_it_is() -> None:
    mail = take_in(raw().partition(b"\n\n")[0] + b"\n\n", at=NOON, left_behind=80 * 1024 * 1024)
    assert (mail.sort, mail.bytes) == (Sort.UNREADABLE, 80 * 1024 * 1024)
    assert mail.why.startswith("It has 80 MB, more than the 50")
    assert list(to_sort()) == [mail]
