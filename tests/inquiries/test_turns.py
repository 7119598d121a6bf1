"""Whose turn it is: the pure rule by hand, the database's answer equal to it, and the deeds that change it."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inquiries.models import Inquiry
from inquiries.review.queries import first_answers
from inquiries.threads.actions import add_message, lay_aside, open_inquiry
from inquiries.threads.turn_actions import (
    follow_up,
    needs_an_answer,
    needs_no_answer,
    no_follow_up,
    open_for_their_word,
    take_up,
)
from inquiries.threads.turn_rules import FirstAnswer, Turn, Word, first_answer, waiting_since, whose_turn
from inquiries.threads.turns import settle, with_turns
from shop.history.queries import history_of
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory, InquiryFactory
from tests.inquiries.steps import ask

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
SIGNS = {
    "q": (False, False, False),
    "a": (True, False, False),
    "x": (True, True, False),
    "r": (False, True, False),
}
SIGNS |= {"t": (False, False, True)}  # question, answer, ours by itself, theirs by itself, thanks


def words(text: str) -> list[Word]:
    """A word an hour, each by its sign."""
    return [Word(NOON + HOUR * number, *SIGNS[sign]) for number, sign in enumerate(text)]


@pytest.mark.parametrize(
    ("said", "since", "asked", "answered"),
    [
        ("", None, None, None),
        ("q", 0, 0, None),
        ("qx", 0, 0, None),  # an acknowledgement is no answer
        ("qxa", None, 0, 2),
        ("qqa", None, 0, 2),
        ("qaqq", 2, 0, 1),
        ("qat", None, 0, 1),  # thanks
        ("qatq", 3, 0, 1),
        ("r", None, None, None),  # an automatic reply asks nothing
        ("xrqa", None, 2, 3),
        ("aq", 1, 1, None),  # we wrote first: that was no answer
        ("aqa", None, 1, 2),
        ("tq", 1, 1, None),
    ],
)
def test_turns_by_hand(said: str, since: int | None, asked: int | None, answered: int | None) -> None:
    def at(number: int | None) -> datetime | None:
        return None if number is None else NOON + HOUR * number

    assert waiting_since(words(said)) == at(since)
    first = at(asked)
    assert first_answer(words(said)) == (FirstAnswer(first, at(answered)) if first else None)


@pytest.mark.parametrize(
    ("done", "waits", "turn", "word"),
    [
        (None, NOON, Turn.OURS, "Ours to answer"),
        (None, None, Turn.THEIRS, "Theirs to answer"),
        (NOON, None, Turn.DONE, "Done"),
        (NOON, NOON, Turn.DONE, "Done"),
    ],
)
def test_the_word_of_a_turn(done: datetime | None, waits: datetime | None, turn: Turn, word: str) -> None:
    assert whose_turn(done_at=done, waiting_since=waits) == turn
    assert turn.word == word


@pytest.mark.django_db
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 6), st.sampled_from(sorted(SIGNS))), max_size=8))
def test_the_database_and_the_rule_agree(said: list[tuple[int, str]]) -> None:
    inquiry = InquiryFactory(opened_at=NOON - DAY)
    for hour, sign in said:
        ours, automatic, thanks = SIGNS[sign]
        ask(inquiry, at=NOON + HOUR * hour, ours=ours, automatic=automatic, needs_no_answer=thanks)
    kept = inquiry.messages.order_by("at", "pk")
    rule = [Word(row.at, row.ours, row.automatic, row.needs_no_answer) for row in kept]
    inquiry.refresh_from_db()
    assert inquiry.waiting_since == waiting_since(rule)
    assert inquiry.last_at == (rule[-1].at if rule else inquiry.opened_at)
    found = [row for row in first_answers(NOON, NOON + DAY, at=NOON + DAY) if row.inquiry == inquiry.pk]
    expected = first_answer(rule)
    assert [(row.asked, row.answered) for row in found] == (
        [(expected.asked, expected.answered)] if expected else []
    )


@pytest.fixture
def inquiry(db: None) -> Inquiry:
    return InquiryFactory(contact__name="Cole Withers")


def since(inquiry: Inquiry) -> datetime | None:
    inquiry.refresh_from_db()
    return inquiry.waiting_since


def verbs(inquiry: Inquiry) -> list[str]:
    """What the history says, the latest first."""
    return [row.verb for row in history_of(inquiry)]


def test_their_last_word_needs_no_answer_nor_does_what_stood_before_it(inquiry: Inquiry) -> None:
    first = ask(inquiry, at=NOON)
    last = ask(inquiry, at=NOON + HOUR, body="Never mind, I have found it.")
    assert since(inquiry) == NOON
    assert needs_no_answer(last, by=None, at=NOON + 2 * HOUR) == 2
    assert since(inquiry) is None
    assert needs_no_answer(last, by=None, at=NOON + 2 * HOUR) == 0
    assert [(row.verb, row.new) for row in history_of(inquiry)] == [("needs no answer", last.body)]
    needs_an_answer(first, by=None, at=NOON + 3 * HOUR)
    needs_an_answer(first, by=None, at=NOON + 3 * HOUR)
    assert since(inquiry) == NOON
    assert verbs(inquiry) == ["needs an answer after all", "needs no answer"]


def test_a_question_that_was_answered_stays_one(inquiry: Inquiry) -> None:
    question = ask(inquiry, at=NOON)
    ask(inquiry, at=NOON + HOUR, ours=True)
    thanks = ask(inquiry, at=NOON + 2 * HOUR, body="Thank you!")
    assert needs_no_answer(thanks, by=None, at=NOON + 3 * HOUR) == 1
    question.refresh_from_db()
    assert not question.needs_no_answer
    (measured,) = first_answers(NOON, NOON + DAY, at=NOON + DAY)
    assert measured.answered == NOON + HOUR


def test_what_they_say_afterwards_waits(inquiry: Inquiry) -> None:
    first, second = ask(inquiry, at=NOON), ask(inquiry, at=NOON + HOUR)
    needs_no_answer(first, by=None, at=NOON + 2 * HOUR)
    assert since(inquiry) == second.at


def test_a_thread_is_laid_aside_and_taken_up_again_with_what_waits_in_it(inquiry: Inquiry) -> None:
    ask(inquiry, at=NOON)
    lay_aside(inquiry, by=None, at=NOON + HOUR)
    assert since(inquiry) is None
    for _ in range(2):
        take_up(inquiry, by=None, at=NOON + 2 * HOUR)
    assert (since(inquiry), inquiry.done_at) == (NOON, None)
    assert verbs(inquiry) == ["taken up again", "laid aside"]


def test_it_is_not_taken_up_beside_another_open_one_on_the_same_piece(inquiry: Inquiry) -> None:
    lay_aside(inquiry, by=None, at=NOON)
    other = open_inquiry(inquiry.contact, inquiry.instrument, by=None, at=NOON)
    with pytest.raises(Refused, match="Go on in that one"):
        take_up(inquiry, by=None, at=NOON + HOUR)
    assert open_for_their_word(inquiry, by=None, at=NOON + HOUR) == other
    inquiry.refresh_from_db()
    assert inquiry.done_at == NOON


def test_a_word_of_theirs_in_a_thread_laid_aside_is_not_lost(inquiry: Inquiry) -> None:
    lay_aside(inquiry, by=None, at=NOON)
    said = add_message(inquiry, "And the case?", ours=False, channel="visit", by=None, at=NOON + HOUR)
    assert said.inquiry == inquiry
    assert (since(inquiry), inquiry.done_at) == (NOON + HOUR, None)
    lay_aside(inquiry, by=None, at=NOON + 2 * HOUR)
    other = open_inquiry(inquiry.contact, inquiry.instrument, by=None, at=NOON + 3 * HOUR)
    again = add_message(inquiry, "Well?", ours=False, channel="visit", by=None, at=NOON + 4 * HOUR)
    assert again.inquiry == other
    assert since(other) == NOON + 4 * HOUR


def test_a_word_of_ours_leaves_it_laid_aside(inquiry: Inquiry) -> None:
    lay_aside(inquiry, by=None, at=NOON)
    add_message(inquiry, "Thank you.", ours=True, channel="visit", by=None, at=NOON + HOUR)
    inquiry.refresh_from_db()
    assert inquiry.done_at == NOON


def test_a_matter_may_be_taken_up_beside_another(db: None) -> None:
    contact = ContactFactory()
    first = open_inquiry(contact, None, matter="A neck reset", by=None, at=NOON)
    lay_aside(first, by=None, at=NOON)
    open_inquiry(contact, None, matter="A valuation", by=None, at=NOON)
    take_up(first, by=None, at=NOON)
    assert Inquiry.objects.filter(done_at=None).count() == 2


def test_a_day_to_look_at_it_again_is_set_changed_and_cleared(inquiry: Inquiry) -> None:
    today = date(2026, 6, 10)
    for _ in range(2):
        follow_up(inquiry, date(2026, 6, 20), "He is back then", today=today, by=None, at=NOON)
    follow_up(inquiry, today, "", today=today, by=None, at=NOON + HOUR)
    for _ in range(2):
        no_follow_up(inquiry, by=None, at=NOON + 2 * HOUR)
    inquiry.refresh_from_db()
    assert (inquiry.follow_up_on, inquiry.follow_up_note) == (None, "")
    assert [(row.old, row.new) for row in history_of(inquiry)] == [
        ("10 June 2026", ""),
        ("20 June 2026: He is back then", "10 June 2026"),
        ("", "20 June 2026: He is back then"),
    ]
    with pytest.raises(Refused, match="has gone by"):
        follow_up(inquiry, today - DAY, "", today=today, by=None, at=NOON)


def test_the_last_word_of_a_thread_in_which_nothing_was_said_is_its_opening(inquiry: Inquiry) -> None:
    settle(inquiry)
    inquiry.refresh_from_db()
    assert inquiry.last_at == inquiry.opened_at
    assert with_turns(Inquiry.objects.filter(pk=inquiry.pk)).get().true_waiting_since is None  # type: ignore[attr-defined]
