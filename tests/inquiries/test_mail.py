"""Mail goes out through a real SMTP server, once, in the right thread."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from catalog.models import Instrument
from inquiries.mail.addresses import thread_of
from inquiries.mail.composing import unflowed
from inquiries.mail.handing_over import End, hand_over
from inquiries.models import Contact, Inquiry, Message, ReceivedMail
from inquiries.threads.actions import answer, post, receive_question
from inquiries.threads.queries import held_up
from inquiries.threads.rules import Sent, reply_headers
from inquiries.threads.sending import leave, send_again, send_message
from shop.jobs.actions import claim, lease, run
from shop.jobs.worker import drain
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, InquiryFactory, InstrumentFactory, ShopFactory
from tests.inquiries.steps import ask as said
from tests.support.mailbox import Mailbox
from tests.support.postgres import free_port

LATER = NOON + timedelta(minutes=1)


def ask(instrument: Instrument, text: str = "Is it still there?") -> Inquiry:
    return receive_question(
        instrument, name="Ines Vale", email="ines@post.example", telephone="", text=text, at=NOON
    )


@pytest.fixture
def instrument(db: None) -> Instrument:
    ShopFactory()
    made: Instrument = InstrumentFactory(listed=True)
    return made


def test_a_question_is_acknowledged_as_an_automatic_answer(instrument: Instrument, mailbox: Mailbox) -> None:
    ask(instrument)
    drain(clock=lambda: NOON)
    (mail,) = mailbox.received
    assert mail["To"] == "ines@post.example"
    assert mail["From"] == "Harrow Lane Strings <desk@harrowlane.example>"
    assert mail["Auto-Submitted"] == "auto-replied"  # RFC 3834, section 5
    assert str(instrument.stock_id) in mail["Subject"]


def test_an_answer_stands_in_the_thread_of_the_acknowledgement(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    inquiry = ask(instrument)
    answer(inquiry, "It is. Shall I hold it?", by=HelperFactory(), at=LATER)
    drain(clock=lambda: LATER)
    first, second = mailbox.received
    assert second["In-Reply-To"] == first["Message-ID"]
    assert second["References"].split() == [first["Message-ID"]]
    assert second["Subject"] == f"Re: {first['Subject']}"
    assert second["Auto-Submitted"] is None
    assert second.get_content().strip() == "It is. Shall I hold it?"


def test_what_went_out_is_what_the_thread_shows(instrument: Instrument, mailbox: Mailbox) -> None:
    inquiry = ask(instrument)
    answer(inquiry, "Ja, größer — 26¼ in.", by=HelperFactory(), at=LATER)
    drain(clock=lambda: LATER)
    kept = Message.objects.get(inquiry=inquiry, ours=True, automatic=False)
    assert kept.message_id == mailbox.received[1]["Message-ID"]
    assert mailbox.received[1].get_content().strip() == kept.body
    assert (kept.delivery, kept.sent_at) == (Message.Delivery.SENT, LATER)


def test_the_same_person_asking_again_goes_on_in_one_thread(instrument: Instrument) -> None:
    first, second = ask(instrument), ask(instrument, "And the case?")
    assert first == second
    assert [m.body for m in first.messages.filter(ours=False)] == ["Is it still there?", "And the case?"]


def test_a_refused_message_is_tried_again_and_says_why(instrument: Instrument, mailbox: Mailbox) -> None:
    mailbox.refusing = "451 greylisted, come back"
    ask(instrument)
    drain(clock=lambda: NOON)
    message = Message.objects.get(ours=True)
    assert message.delivery == Message.Delivery.WAITING
    assert "greylisted" in message.trouble
    mailbox.refusing = ""
    drain(clock=lambda: NOON + timedelta(minutes=5))
    message.refresh_from_db()
    assert (message.delivery, message.trouble) == (Message.Delivery.SENT, "")
    assert len(mailbox.received) == 1


def only() -> Message:
    return Message.objects.get(ours=True)


def test_the_bytes_that_were_kept_are_the_bytes_that_went(instrument: Instrument, mailbox: Mailbox) -> None:
    inquiry = ask(instrument)
    long = "Größe: 26¼ in., and I should be glad to tell you more by telephone. " * 8
    text = f"Dear Ines,\n\n{long}\n.\n..\n> so you said\nFrom here on\n"
    answer(inquiry, text, by=HelperFactory(), at=LATER)
    kept = [message.wire.encode("ascii") for message in Message.objects.filter(ours=True).order_by("pk")]
    drain(clock=lambda: LATER)
    assert mailbox.wires == kept
    assert unflowed(mailbox.received[1].get_content()) == text.replace(f"{long}\n", f"{long.strip()}\n")
    assert mailbox.recipients == [["ines@post.example"]] * 2
    assert mailbox.senders == ["desk@harrowlane.example"] * 2


def test_an_answer_comes_back_to_an_address_that_names_the_thread(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    inquiry = ask(instrument)
    drain(clock=lambda: NOON)
    (reply_to,) = mailbox.received[0]["Reply-To"].addresses
    assert thread_of(reply_to.addr_spec) == inquiry.pk


def test_further_headings_go_out_as_they_were_given(instrument: Instrument, mailbox: Mailbox) -> None:
    inquiry = InquiryFactory(instrument=instrument, contact__email="ines@post.example")
    post(
        inquiry,
        "There is one.",
        by=None,
        at=NOON,
        headers={"List-Unsubscribe-Post": "List-Unsubscribe=One-Click"},
    )
    drain(clock=lambda: NOON)
    assert mailbox.received[0]["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_an_answer_keeps_the_subject_that_they_gave_it(instrument: Instrument, mailbox: Mailbox) -> None:
    inquiry = InquiryFactory(instrument=instrument, contact__email="ines@post.example")
    theirs = said(inquiry, at=NOON, channel=Message.Channel.MAIL)
    ReceivedMail.objects.create(
        key="k", sha256="0" * 64, bytes=1, sort="person", place="joined", message=theirs,
        subject="AW: Re: your banjo", received_at=NOON,
    )  # fmt: skip
    answer(inquiry, "It is here.", by=HelperFactory(), at=LATER)
    drain(clock=lambda: LATER)
    assert mailbox.received[0]["Subject"] == "Re: your banjo"
    assert mailbox.received[0]["In-Reply-To"] == theirs.message_id


def test_a_refusal_for_good_stops_at_once_in_the_servers_words(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    mailbox.refusing_recipient = "550 5.1.1 nobody of that name here"
    ask(instrument)
    drain(clock=lambda: NOON)
    drain(clock=lambda: NOON + timedelta(days=9))
    message = only()
    assert (message.delivery, message.tries, message.next_try_at) == (Message.Delivery.STUCK, 1, None)
    assert message.trouble == "The mail server said: 550 5.1.1 nobody of that name here"
    assert mailbox.received == []


@pytest.mark.parametrize("what", ["refusing", "refusing_sender", "refusing_recipient"])
@pytest.mark.parametrize(("words", "state"), [("451 come back", "waiting"), ("554 not from you", "stuck")])
def test_whatever_is_refused_is_told_apart_by_the_kind_of_refusal(
    instrument: Instrument, mailbox: Mailbox, what: str, words: str, state: str
) -> None:
    setattr(mailbox, what, words)
    ask(instrument)
    drain(clock=lambda: NOON)
    assert only().delivery == state
    assert words in only().trouble


def test_tries_grow_apart_for_days_and_then_it_is_given_up(instrument: Instrument, mailbox: Mailbox) -> None:
    mailbox.refusing = "451 greylisted"
    ask(instrument)
    at, pauses = NOON, []
    while drain(clock=lambda at=at: at):
        if (due := only().next_try_at) is None:
            break
        pauses.append(due - at)
        at = due
    assert pauses == sorted(pauses)
    assert pauses[0] == timedelta(minutes=1)
    assert timedelta(days=3) <= at - NOON <= timedelta(days=5)  # RFC 5321, section 4.5.4.1, has four or five
    assert only().delivery == Message.Delivery.STUCK
    assert only().trouble.startswith(f"Given up after {len(pauses) + 1} tries. The mail server said: 451")


def test_a_server_that_is_away_is_tried_again(
    instrument: Instrument, mailbox: Mailbox, settings: Any
) -> None:
    settings.EMAIL_PORT = free_port()
    ask(instrument)
    drain(clock=lambda: NOON)
    assert only().delivery == Message.Delivery.WAITING
    assert only().trouble == "Nothing answers at the address of the mail server."


def test_a_server_that_greets_slowly_is_waited_for(instrument: Instrument, mailbox: Mailbox) -> None:
    mailbox.greeting_after = 1.0
    ask(instrument)
    drain(clock=lambda: NOON)
    assert (only().delivery, len(mailbox.received)) == (Message.Delivery.SENT, 1)


def test_a_server_that_greets_too_slowly_has_nothing_and_is_tried_again(
    instrument: Instrument, mailbox: Mailbox, settings: Any
) -> None:
    settings.EMAIL_TIMEOUT, mailbox.greeting_after = 0.3, 3.0
    ask(instrument)
    drain(clock=lambda: NOON)
    assert only().delivery == Message.Delivery.WAITING
    assert only().trouble == "The mail server did not answer in time."
    settings.EMAIL_TIMEOUT, mailbox.greeting_after = 30, 0.0
    drain(clock=lambda: NOON + timedelta(minutes=1))
    assert (only().delivery, len(mailbox.received)) == (Message.Delivery.SENT, 1)


def test_a_connection_that_ends_after_the_text_leaves_it_unknown_and_it_is_not_sent_again(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    mailbox.dropping = True
    ask(instrument)
    drain(clock=lambda: NOON)
    drain(clock=lambda: NOON + timedelta(days=9))
    message = only()
    assert message.delivery == Message.Delivery.UNSURE
    assert "may have gone" in message.trouble
    assert len(mailbox.received) == 1


def test_a_press_sends_what_may_have_gone_again_as_the_same_mail(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    mailbox.dropping = True
    inquiry = ask(instrument)
    drain(clock=lambda: NOON)
    mailbox.dropping = False
    Contact.objects.filter(pk=inquiry.contact_id).update(email="ines@other.example")
    for _ in range(2):
        send_again(only(), by=None, at=LATER)
    drain(clock=lambda: LATER)
    assert only().delivery == Message.Delivery.SENT
    first, second = mailbox.wires
    assert first == second
    with pytest.raises(Refused, match="has gone meanwhile"):
        send_again(only(), by=None, at=LATER)


def test_what_did_not_go_goes_to_the_address_that_was_mended(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    mailbox.refusing_recipient = "550 no such person"
    inquiry = ask(instrument)
    drain(clock=lambda: NOON)
    before, mailbox.refusing_recipient = only().wire, ""
    Contact.objects.filter(pk=inquiry.contact_id).update(email="ines@mended.example")
    send_again(only(), by=None, at=LATER)
    drain(clock=lambda: LATER)
    assert mailbox.recipients == [["ines@mended.example"]]
    assert mailbox.wires == [before.replace("ines@post.example", "ines@mended.example").encode()]
    assert only().wire.encode() == mailbox.wires[0]


def test_a_message_left_as_it_is_stays_unsent_and_keeps_the_reason(
    instrument: Instrument, mailbox: Mailbox
) -> None:
    mailbox.refusing = "451 greylisted"
    ask(instrument)
    drain(clock=lambda: NOON)
    for _ in range(2):
        leave(only(), by=None, at=LATER)
    mailbox.refusing = ""
    drain(clock=lambda: NOON + timedelta(days=1))
    assert only().delivery == Message.Delivery.LEFT
    assert "greylisted" in only().trouble
    assert mailbox.received == []
    assert not held_up(at=LATER).exists()
    send_again(only(), by=None, at=LATER)
    drain(clock=lambda: LATER)
    assert (only().delivery, len(mailbox.received)) == (Message.Delivery.SENT, 1)


def test_one_recipient_refused_is_the_whole_mail_refused(mailbox: Mailbox, settings: Any) -> None:
    async def only_the_first(server: Any, session: Any, envelope: Any, address: str, options: Any) -> str:
        if envelope.rcpt_tos:
            return "550 not you"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    mailbox.handle_RCPT = only_the_first  # type: ignore[method-assign, assignment]
    outcome = hand_over(
        b"Subject: x\r\n\r\nx\r\n",
        sender="a@b.example",
        recipients=["c@d.example", "e@f.example"],
        mark=lambda: True,
    )
    assert outcome.end == End.REFUSED
    assert mailbox.received == []


def test_two_workers_with_one_mail_send_it_once(instrument: Instrument, mailbox: Mailbox) -> None:
    ask(instrument)
    first = send_message.function(message=only().pk)
    second = send_message.function(message=only().pk)
    assert len(mailbox.received) == 1
    assert first is not None
    assert second is not None
    second(LATER)
    assert only().delivery == Message.Delivery.UNSURE  # the second one cannot know what the first has done


def test_an_address_that_not_every_server_takes_is_refused_in_a_sentence(instrument: Instrument) -> None:
    inquiry = InquiryFactory(instrument=instrument, contact__email="inés@post.example")
    with pytest.raises(Refused, match="not every mail server takes"):
        answer(inquiry, "Hello", by=HelperFactory(), at=NOON)
    assert Message.objects.count() == 0


@pytest.mark.parametrize(
    "address", ["MAILER-DAEMON@post.example", "no-reply@post.example", "desk@harrowlane.example"]
)
def test_nothing_goes_by_itself_to_an_address_that_no_person_reads(
    instrument: Instrument, mailbox: Mailbox, address: str
) -> None:
    inquiry = receive_question(instrument, name="x", email=address, telephone="", text="Hello?", at=NOON)
    assert inquiry.messages.get().body == "Hello?"
    assert not drain(clock=lambda: NOON)
    assert mailbox.received == []


def test_a_worker_killed_while_sending_never_sends_twice(instrument: Instrument, mailbox: Mailbox) -> None:
    ask(instrument)
    message = Message.objects.get(ours=True)
    assert claim(at=NOON) is not None
    Message.objects.filter(pk=message.pk).update(delivery=Message.Delivery.SENDING)
    again = claim(at=NOON + lease())
    assert again is not None
    run(again, clock=lambda: NOON + lease())
    message.refresh_from_db()
    assert message.delivery == Message.Delivery.UNSURE
    assert "interrupted" in message.trouble
    assert mailbox.received == []


def test_nobody_is_answered_by_mail_without_an_address(instrument: Instrument) -> None:
    inquiry = InquiryFactory(instrument=instrument, contact__email="")
    with pytest.raises(Refused) as refusal:
        answer(inquiry, "Hello", by=HelperFactory(), at=NOON)
    assert refusal.value.code == "no-address"
    assert Message.objects.count() == 0


def test_the_thread_of_the_standard_own_example() -> None:
    # RFC 5322, appendix A.2: a message, its reply, and the reply to that.
    first = Sent("<1234@local.machine.example>")
    parent, references = reply_headers(first)
    assert (parent, references) == ("<1234@local.machine.example>", ("<1234@local.machine.example>",))
    second = Sent("<3456@example.net>", parent, references)
    assert reply_headers(second) == (
        "<3456@example.net>",
        ("<1234@local.machine.example>", "<3456@example.net>"),
    )


def test_a_parent_without_references_hands_on_its_single_in_reply_to() -> None:
    # RFC 5322, section 3.6.4.
    one = Sent("<c@x.example>", "<b@x.example>")
    two = Sent("<c@x.example>", "<a@x.example> <b@x.example>")
    assert reply_headers(one)[1] == ("<b@x.example>", "<c@x.example>")
    assert reply_headers(two)[1] == ("<c@x.example>",)


def test_where_mail_is_put_into_a_folder_it_is_the_same_mail(
    instrument: Instrument, settings: Any, tmp_path: Path
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path
    ask(instrument)
    drain(clock=lambda: NOON)
    (file,) = tmp_path.iterdir()
    assert file.read_bytes().startswith(only().wire.encode("ascii"))
    assert only().delivery == Message.Delivery.SENT
