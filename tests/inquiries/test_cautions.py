"""Signs where fraud usually enters: pointed out with their reasons, at the desk only. Common practice, no source."""

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from inquiries.cautions.rules import REASONS, Sign, signs_in
from inquiries.models import Message
from inquiries.threads.actions import answer
from shop.models import User
from tests.factories import NOON, InquiryFactory
from tests.inquiries.steps import ask

SHOWN = [
    ("I will send a cashier's check for $2,000 more than your price.", Sign.OVERPAYMENT),
    ("Please wire the difference to my brother.", Sign.OVERPAYMENT),
    ("By mistake my secretary overpaid; kindly refund the excess.", Sign.OVERPAYMENT),
    ("My shipper will come on Thursday.", Sign.FORWARDER),
    ("The driver can pick it up at your door.", Sign.FORWARDER),
    ("It goes through our freight forwarder.", Sign.FORWARDER),
    ("Our bank account has changed, please note.", Sign.BANK_DETAILS),
    ("Use this account for the refund.", Sign.BANK_DETAILS),
    ("Here are our new wire instructions.", Sign.BANK_DETAILS),
    ("This is urgent.", Sign.RUSH),
    ("I must have it today, it is a present.", Sign.RUSH),
    ("Kindly answer ASAP.", Sign.RUSH),
    ("I cannot talk at the moment, I am on a ship.", Sign.NO_TELEPHONE),
    ("I'm hearing impaired.", Sign.NO_TELEPHONE),
    ("Text me only.", Sign.NO_TELEPHONE),
]
PLAIN = [
    "Is the neck the one it was made with?",
    "I could call you on Thursday afternoon, if that suits.",
    "Would you take a personal check?",
    "There is no rush at all.",
    "It is not urgent.",
    "What is the difference between the two models?",
    "My father played a banjo like this one; it was his pride.",
    "I would pay by wire from my account here.",
    "Does it ship in its own case?",
]


@pytest.mark.parametrize(("text", "sign"), SHOWN)
def test_a_sign_is_seen_with_the_words_that_show_it(text: str, sign: Sign) -> None:
    found = {each.sign: each.words for each in signs_in([text])}
    assert list(found) == [sign]
    assert all(words in " ".join(text.split()) for words in found[sign])


@pytest.mark.parametrize("text", PLAIN)
def test_a_plain_question_shows_no_sign(text: str) -> None:
    assert signs_in([text]) == []


def test_words_that_stand_twice_are_told_once_and_signs_keep_their_order() -> None:
    found = signs_in(["Urgent! urgent.", "My shipper will come."], other_addresses=["b@post.example"] * 2)
    assert [each.sign for each in found] == [Sign.FORWARDER, Sign.RUSH, Sign.OTHER_ADDRESS]
    assert found[1].words == ("Urgent", "urgent")
    assert found[2].words == ("b@post.example",)


def test_each_sign_says_why_and_what_is_usually_done() -> None:
    assert set(REASONS) == set(Sign)
    assert all(reason.name and reason.why and reason.usual for reason in REASONS.values())


def test_the_thread_shows_them_and_no_letter_carries_them(helpers: Client, helper: User) -> None:
    inquiry = InquiryFactory()
    ask(inquiry, at=NOON, body="It is urgent. My shipper will come.")
    page = helpers.get(reverse("inquiry", args=[inquiry.pk])).text
    assert "To be careful about" in page
    assert REASONS[Sign.FORWARDER].why.partition(",")[0] in page

    sent = answer(inquiry, "It is still here.", by=helper, at=NOON)
    for text in [sent.body, sent.wire, *(letter.body for letter in mail.outbox)]:
        assert "careful" not in text
        assert "forwarder" not in text.lower()


def test_what_we_wrote_ourselves_shows_no_sign(helpers: Client) -> None:
    inquiry = InquiryFactory()
    ask(
        inquiry,
        at=NOON,
        ours=True,
        channel=Message.Channel.MAIL,
        body="There is no need to answer; it is urgent.",
    )
    assert "To be careful about" not in helpers.get(reverse("inquiry", args=[inquiry.pk])).text
