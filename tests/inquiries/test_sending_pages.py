"""At the desk: a message that has not gone is shown on Today and in its thread, tried again, or left."""

import pytest
from django.test import Client
from django.urls import reverse

from inquiries.models import Message
from inquiries.threads.actions import answer
from shop.jobs.worker import drain
from shop.models import Entry, User
from tests.factories import NOON, InquiryFactory
from tests.support.mailbox import Mailbox


@pytest.fixture
def message(helper: User, mailbox: Mailbox) -> Message:
    """An answer that the mail server refused for now."""
    inquiry = InquiryFactory(contact__name="Cole Withers", contact__email="cole@post.example")
    mailbox.refusing = "451 greylisted"
    kept = answer(inquiry, "It is here.", by=helper, at=NOON)
    drain(clock=lambda: NOON)
    kept.refresh_from_db()
    return kept


def press(browser: Client, name: str, message: Message, **fields: str) -> str:
    answered = browser.post(reverse(name, args=[message.pk]), fields)
    message.refresh_from_db()
    return str(answered["Location"])


def test_it_is_shown_on_both_pages_with_the_servers_words_and_both_presses(
    helpers: Client, message: Message
) -> None:
    again, left = (reverse(name, args=[message.pk]) for name in ("message-again", "message-leave"))
    thread = reverse("inquiry", args=[message.inquiry_id])
    for address in (thread, reverse("today")):
        page = helpers.get(address).text
        assert "The mail server said: 451 greylisted" in page
        assert f'action="{again}"' in page
        assert f'action="{left}"' in page
    assert "Tried 1 time; tried again" in helpers.get(thread).text


def test_a_press_tries_it_again_at_once(helpers: Client, message: Message, mailbox: Mailbox) -> None:
    mailbox.refusing = ""
    assert press(helpers, "message-again", message) == reverse("inquiry", args=[message.inquiry_id])
    drain(clock=lambda: NOON)
    message.refresh_from_db()
    assert (message.delivery, len(mailbox.received)) == ("sent", 1)
    assert 'value="today"' not in helpers.get(reverse("today")).text
    press(helpers, "message-again", message)
    drain(clock=lambda: NOON)
    assert len(mailbox.received) == 1
    assert "has gone meanwhile" in helpers.get(reverse("inquiry", args=[message.inquiry_id])).text


def test_it_is_left_and_no_longer_due_but_may_still_be_tried(
    helpers: Client, message: Message, helper: User
) -> None:
    assert press(helpers, "message-leave", message, **{"from": "today"}) == reverse("today")
    assert message.delivery == "left"
    assert "451 greylisted" not in helpers.get(reverse("today")).text
    page = helpers.get(reverse("inquiry", args=[message.inquiry_id])).text
    assert "Left as it is" in page
    assert reverse("message-again", args=[message.pk]) in page
    assert reverse("message-leave", args=[message.pk]) not in page
    assert Entry.objects.get(verb="message left as it is").by == helper


def test_what_may_have_gone_is_called_that(helpers: Client, message: Message) -> None:
    Message.objects.filter(pk=message.pk).update(delivery="unsure", next_try_at=None)
    page = helpers.get(reverse("inquiry", args=[message.inquiry_id])).text
    assert '<span class="state state-unsure">May have gone</span>' in page


def test_a_stranger_presses_nothing(client: Client, message: Message) -> None:
    for name in ("message-again", "message-leave"):
        assert press(client, name, message).startswith("/desk/log-in/")
    assert message.delivery == "waiting"
