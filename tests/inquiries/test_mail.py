"""Mail goes out through a real SMTP server, once, in the right thread."""

from datetime import timedelta

import pytest

from catalog.models import Instrument
from inquiries.models import Inquiry, Message
from inquiries.threads.actions import answer, receive_question
from inquiries.threads.rules import Sent, reply_headers
from shop.jobs.actions import claim, lease, run
from shop.jobs.worker import drain
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, InquiryFactory, InstrumentFactory, ShopFactory
from tests.support.mailbox import Mailbox

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
