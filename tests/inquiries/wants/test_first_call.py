"""First call: who hears first, by mail and otherwise, in order, once; what they say; and publishing meanwhile."""

from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.models import Instrument, Kind
from catalog.publishing.actions import publish
from inquiries.models import Call, FirstCall, Message, Want
from inquiries.wants.call_actions import (
    answered,
    end_first_call,
    open_first_call,
    pass_over,
    settle_lapsed,
    tell,
    told_otherwise,
    waited_for,
)
from inquiries.wants.queries import seekers_for, seekers_of
from inquiries.wants.turn_rules import Turn, Word, may_be_told, stands
from shop.history.models import Entry
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.wants.conftest import LETTER, LINKS, ready_piece, seek

HOUR = timedelta(hours=1)
TICK = timedelta(microseconds=1)


def opened(
    piece: Instrument, by: User, *, in_turn: bool = True, hours: int = 24, at: Any = NOON
) -> FirstCall:
    return open_first_call(
        piece, hours=hours, one_at_a_time=in_turn, letter=LETTER, links=LINKS, by=by, at=at
    )


def words(first: FirstCall) -> list[str]:
    return list(first.calls.order_by("position").values_list("said", flat=True))


def call_of(first: FirstCall, place: int) -> Call:
    return first.calls.get(position=place)


@pytest.mark.django_db
def test_who_seeks_a_piece_stands_in_order_with_reasons(ready: Instrument, owner: User) -> None:
    banjo, guitar = ready.kind, Kind.objects.exclude(pk=ready.kind.pk)[0]
    late = seek(1, kind=banjo, made_from=1925, made_to=1935)
    early = seek(9, kind=banjo)
    earliest_of_all = seek(30)
    seek(2, kind=guitar)
    Want.objects.create(
        contact=late.contact, sought="Anything", asked_at=NOON - timedelta(days=99), source="desk"
    )
    Want.objects.filter(pk=seek(5, kind=banjo).pk).update(confirmed_at=None)  # not confirmed
    Want.objects.filter(pk=seek(5, kind=banjo).pk).update(done_at=NOON)
    seek(5, kind=banjo, until=(NOON - timedelta(days=1)).date())
    found = seekers_for(ready, at=NOON)
    assert [seeker.want for seeker in found] == [late, early, earliest_of_all]
    assert found[0].reasons == ["It is of the kind sought: Banjo.", "Made c. 1931, within 1925 to 1935."]


@pytest.mark.django_db
def test_who_seeks_many_pieces_costs_as_many_queries_as_for_one(
    ready: Instrument, owner: User, django_assert_num_queries: Any
) -> None:
    for _ in range(4):
        seek(kind=ready.kind, maker=ready.maker, configuration=ready.configuration_now)
    pieces = [ready, *(InstrumentFactory() for _ in range(3))]
    with django_assert_num_queries(3):
        assert [len(found) for found in seekers_of(pieces, at=NOON).values()].count(4) == 1


@pytest.mark.django_db
def test_the_first_in_turn_is_told_by_mail_with_the_letter_and_the_headings(
    ready: Instrument, owner: User
) -> None:
    want = seek(9, name="Ruth Amble")
    seek(1)
    first = opened(ready, owner)
    assert words(first) == ["nothing", "not-told"]
    call = call_of(first, 1)
    assert (call.want, call.told_at, call.until) == (want, NOON, NOON + 24 * HOUR)
    assert call.message is not None
    assert call.message.inquiry.instrument == ready
    assert call.message.body.startswith("Dear Ruth Amble,\n\nyou seek A tenor. It is yours until ")
    link = LINKS.unsubscribe(want.pk)
    assert call.message.body.endswith(f"-- \nNo more mail about this wish: {link}\n")
    headings = call.message.wire.partition("\r\n\r\n")[0].split("\r\n")
    assert f"List-Unsubscribe: <{link}>" in headings
    assert "List-Unsubscribe-Post: List-Unsubscribe=One-Click" in headings
    assert Message.objects.filter(ours=True).count() == 1
    assert Entry.objects.filter(about="instrument", verb="first call opened").count() == 1


@pytest.mark.django_db
def test_all_at_once_tells_everybody_who_may_be_written_to(ready: Instrument, owner: User) -> None:
    seek(9)
    seek(8, email="")
    seek(7, unsubscribed_at=NOON)
    seek(6)
    first = opened(ready, owner, in_turn=False)
    assert words(first) == ["nothing", "not-told", "not-told", "nothing"]
    assert Message.objects.filter(ours=True).count() == 2
    with pytest.raises(Refused) as refused:
        tell(call_of(first, 3), LETTER, LINKS, by=owner, at=NOON)
    assert refused.value.code == "no-mail"
    assert words(first)[2] == "not-told"
    told_otherwise(call_of(first, 3), by=owner, at=NOON + HOUR)
    assert call_of(first, 3).until == NOON + 25 * HOUR
    assert call_of(first, 3).message is None
    assert Message.objects.filter(ours=True).count() == 2


@pytest.mark.django_db
def test_the_next_is_told_when_the_one_before_has_had_their_time(ready: Instrument, owner: User) -> None:
    for days in (9, 8, 7):
        seek(days)
    first = opened(ready, owner)
    second, third = call_of(first, 2), call_of(first, 3)
    for early in (second, third):
        with pytest.raises(Refused) as refused:
            tell(early, LETTER, LINKS, by=owner, at=NOON + 24 * HOUR - TICK)
        assert refused.value.code == "not-in-turn"
    tell(second, LETTER, LINKS, by=owner, at=NOON + 24 * HOUR)
    assert words(first) == ["nothing", "nothing", "not-told"]
    assert settle_lapsed(NOON + 24 * HOUR) == 1
    assert words(first) == ["lapsed", "nothing", "not-told"]
    assert call_of(first, 1).said_at == NOON + 24 * HOUR
    answered(second, "no", by=owner, at=NOON + 25 * HOUR)
    tell(third, LETTER, LINKS, by=owner, at=NOON + 25 * HOUR)
    answered(call_of(first, 1), "yes", by=owner, at=NOON + 26 * HOUR)  # late, and said all the same
    assert words(first) == ["yes", "no", "nothing"]


@pytest.mark.django_db
def test_told_twice_is_told_once(ready: Instrument, owner: User) -> None:
    seek(9)
    seek(8)
    first = opened(ready, owner)
    assert opened(ready, owner) == first
    for hours in (0, 1):
        tell(call_of(first, 1), LETTER, LINKS, by=owner, at=NOON + hours * HOUR)
        told_otherwise(call_of(first, 1), by=owner, at=NOON + hours * HOUR)
    assert call_of(first, 1).told_at == NOON
    assert Message.objects.filter(ours=True).count() == 1


@pytest.mark.django_db
def test_passed_over_the_next_moves_up(ready: Instrument, owner: User) -> None:
    seek(9, email="")
    seek(8)
    first = opened(ready, owner)
    assert words(first) == ["not-told", "not-told"]
    pass_over(call_of(first, 1), by=owner, at=NOON)
    pass_over(call_of(first, 1), by=owner, at=NOON)
    tell(call_of(first, 2), LETTER, LINKS, by=owner, at=NOON)
    assert words(first) == ["passed", "nothing"]
    with pytest.raises(Refused):
        pass_over(call_of(first, 2), by=owner, at=NOON)
    with pytest.raises(Refused) as refused:
        answered(call_of(first, 1), "yes", by=owner, at=NOON)
    assert refused.value.code == "not-told"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"story": ""}, "missing"),
        ({"made_evidence": ""}, "missing"),
        ({"state": "listed", "listed_at": NOON}, "public"),
    ],
)
def test_only_a_piece_that_is_ready_and_not_public_is_told_of(
    ready: Instrument, owner: User, change: dict[str, Any], code: str
) -> None:
    seek()
    Instrument.objects.filter(pk=ready.pk).update(**change)
    with pytest.raises(Refused) as refused:
        opened(ready, owner)
    assert refused.value.code == code
    assert not FirstCall.objects.exists()


@pytest.mark.django_db
def test_nobody_to_call_and_no_hours_are_refused(ready: Instrument, owner: User) -> None:
    with pytest.raises(Refused) as refused:
        opened(ready, owner)
    assert refused.value.code == "nobody"
    seek()
    with pytest.raises(Refused) as refused:
        opened(ready, owner, hours=0)
    assert refused.value.code == "hours"


@pytest.mark.django_db
def test_a_wish_laid_aside_meanwhile_is_not_told(ready: Instrument, owner: User) -> None:
    seek(9)
    laid = seek(8)
    first = opened(ready, owner)
    answered(call_of(first, 1), "no", by=owner, at=NOON)
    Want.objects.filter(pk=laid.pk).update(done_at=NOON)
    with pytest.raises(Refused) as refused:
        tell(call_of(first, 2), LETTER, LINKS, by=owner, at=NOON)
    assert refused.value.code == "laid-aside"


@pytest.mark.django_db
def test_a_letter_that_is_stopped_tells_nobody(ready: Instrument, owner: User) -> None:
    Instrument.objects.filter(pk=ready.pk).update(floor_price=9150)
    seek(9)
    with pytest.raises(Refused):
        open_first_call(
            ready,
            hours=24,
            one_at_a_time=True,
            letter="Dear {name}, I would let it go for $9,150.",
            links=LINKS,
            by=owner,
            at=NOON,
        )
    assert not FirstCall.objects.exists()
    assert not Message.objects.exists()


@pytest.mark.django_db
def test_publishing_waits_for_who_has_time_and_goes_on_with_a_reason(ready: Instrument, owner: User) -> None:
    seek(9, name="Ruth Amble")
    seek(8, name="Cole Withers")
    first = opened(ready, owner)
    says = waited_for(ready, NOON)
    assert says == [
        "Ruth Amble has time until Thu 11 Jun 2026, 08:00.",
        "Cole Withers has not been told yet.",
    ]
    with pytest.raises(Refused) as refused:
        publish(ready, by=owner, at=NOON)
    assert refused.value.code == "waited-for"
    assert says[0] in refused.value.message
    publish(ready, by=owner, at=NOON, all_the_same="The fair is tomorrow.")
    first.refresh_from_db()
    assert first.ended_at == NOON
    assert Entry.objects.get(verb="published all the same").new == "The fair is tomorrow."
    with pytest.raises(Refused) as refused:
        answered(call_of(first, 1), "yes", by=owner, at=NOON)
    assert refused.value.code == "ended"


@pytest.mark.django_db
def test_publishing_is_free_once_everybody_has_had_their_time(ready: Instrument, owner: User) -> None:
    seek(9)
    first = opened(ready, owner)
    publish(ready, by=owner, at=NOON + 24 * HOUR)
    first.refresh_from_db()
    assert (first.ended_at, words(first)) == (NOON + 24 * HOUR, ["lapsed"])
    assert not Entry.objects.filter(verb="published all the same").exists()


@pytest.mark.django_db
def test_a_first_call_is_ended_once_and_another_may_follow(ready: Instrument, owner: User) -> None:
    seek(9)
    first = opened(ready, owner)
    for _ in range(2):
        end_first_call(first, by=owner, at=NOON + HOUR)
    assert Entry.objects.filter(verb="first call ended").count() == 1
    assert waited_for(ready, NOON + HOUR) == []
    assert opened(ready, owner, at=NOON + 2 * HOUR) != first


def test_another_piece_is_not_waited_for(ready: Instrument, owner: User) -> None:
    seek(9)
    opened(ready, owner)
    assert waited_for(ready_piece(), NOON) == []


WORDS_SAID = st.builds(Turn, st.sampled_from(list(Word)), st.sampled_from([NOON - HOUR, NOON, NOON + HOUR]))


@given(st.lists(WORDS_SAID, max_size=6))
def test_one_at_a_time_nobody_is_told_before_those_in_front_have_been(turns: list[Turn]) -> None:
    """Whoever may be told is one at most, nobody in front waits to be told, and nobody has time or wants it."""
    told = may_be_told(turns, one_at_a_time=True, at=NOON)
    assert len(told) <= 1
    for place in told:
        assert all(turn.said != Word.NOT_TOLD for turn in turns[:place])
        assert all(stands(turn, at=NOON) not in {Word.NOTHING, Word.YES} for turn in turns)
    everybody = may_be_told(turns, one_at_a_time=False, at=NOON)
    assert everybody == [place for place, turn in enumerate(turns) if turn.said == Word.NOT_TOLD]
    assert set(told) <= set(everybody)


@pytest.mark.parametrize(
    ("said", "until", "word"),
    [
        (Word.NOTHING, NOON + TICK, Word.NOTHING),
        (Word.NOTHING, NOON, Word.LAPSED),
        (Word.YES, NOON - HOUR, Word.YES),
        (Word.NOT_TOLD, None, Word.NOT_TOLD),
    ],
)
def test_time_ends_at_its_instant(said: Word, until: Any, word: Word) -> None:
    assert stands(Turn(said, until), at=NOON) == word


def test_the_words_of_a_call_are_those_that_are_kept() -> None:
    assert {word.value for word in Word} == set(Call.Said.values)
