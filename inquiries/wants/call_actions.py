"""First call: open it, tell those who seek such a piece in their order, note what they say, end it.

The instrument's row is the lock for all of it, as it is for everything promised of a piece, and who is told is
marked by the old state in the WHERE: two presses at once tell once.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F

from catalog.models import Instrument
from catalog.publishing.readiness import stops_publishing
from inquiries.threads.actions import open_inquiry, post
from inquiries.wants.call_letters import filled
from inquiries.wants.links import Links, unsubscribe_headers
from inquiries.wants.models import Call, FirstCall
from inquiries.wants.queries import Seeker, seekers_for
from inquiries.wants.turn_rules import Turn, Word, may_be_told, stands
from shop.history.actions import record
from shop.jobs.rounds import every
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Said = Call.Said
State = Instrument.State
ANSWERS = {Said.YES, Said.NO}
ANSWERABLE = [Said.NOTHING, Said.LAPSED, Said.YES, Said.NO]
LONGEST = 24 * 30


@transaction.atomic
def open_first_call(
    instrument: Instrument,
    *,
    hours: int,
    one_at_a_time: bool,
    letter: str,
    links: Links,
    by: User | None,
    at: datetime,
    as_it_stands: bool = False,
) -> FirstCall:
    """Open a first call and tell the first in turn by mail, or all at once.

    Whoever cannot be told by mail waits to be told otherwise. Pressed twice, it is opened once. Raises Refused when
    something is missing before the piece can be published, or nobody seeks it; Stopped as `post` does.
    """
    piece = _locked(instrument.pk)
    if open_already := FirstCall.objects.filter(instrument=piece, ended_at__isnull=True).first():
        return open_already
    seekers = _seekers(piece, hours, at=at)
    first = FirstCall.objects.create(
        instrument=piece, hours=hours, one_at_a_time=one_at_a_time, opened_at=at, by=by
    )
    calls = [_call(first, number, seeker) for number, seeker in enumerate(seekers, start=1)]
    how = "one at a time" if one_at_a_time else "all at once"
    record(piece, "first call opened", by=by, at=at, new=f"{len(calls)}, {how}, {hours} hours each")
    for call in calls[:1] if one_at_a_time else calls:
        if reachable(call):
            _tell(call, letter, links, by=by, at=at, as_it_stands=as_it_stands)
    return first


def _seekers(piece: Instrument, hours: int, *, at: datetime) -> Sequence[Seeker]:
    if not 1 <= hours <= LONGEST:
        raise Refused(f"Give each person 1 to {LONGEST} hours.", code="hours")
    if piece.state not in {State.DRAFT, State.WITHDRAWN}:
        raise Refused("It is on the public side already, so nobody can hear of it first.", code="public")
    if missing := stops_publishing(piece):
        raise Refused(
            "It is not ready yet: " + "; ".join(item.says for item in missing) + ".", code="missing"
        )
    seekers = seekers_for(piece, at=at)
    if not seekers:
        raise Refused("Nobody seeks such a piece, as far as the wishes say.", code="nobody")
    return seekers


def _call(first: FirstCall, position: int, seeker: Seeker) -> Call:
    reasons = "\n".join(seeker.reasons)
    return Call.objects.create(first_call=first, want=seeker.want, position=position, reasons=reasons)


def reachable(call: Call) -> bool:
    """Whether mail about this wish may go."""
    want = call.want
    return bool(want.contact.email) and want.unsubscribed_at is None


@transaction.atomic
def tell(
    call: Call, letter: str, links: Links, *, by: User | None, at: datetime, as_it_stands: bool = False
) -> Call:
    """Tell the next in turn by mail. Whoever has been told is not told again, however often it is pressed."""
    kept = _in_turn(call, at=at)
    if kept.said == Said.NOT_TOLD:
        _tell(kept, letter, links, by=by, at=at, as_it_stands=as_it_stands)
    return kept


@transaction.atomic
def told_otherwise(call: Call, *, by: User | None, at: datetime) -> Call:
    """They were told by telephone, by letter or in the shop; their time begins."""
    kept = _in_turn(call, at=at)
    if kept.said == Said.NOT_TOLD and _begin(kept, at=at):
        record(kept.want.contact, "told of a piece", by=by, at=at, new=_piece(kept))
    return kept


@transaction.atomic
def answered(call: Call, said: str, *, by: User | None, at: datetime) -> Call:
    """They want it, or do not. Who let the time go by may still say so, and who has said may say otherwise."""
    kept = _open(call)
    if said not in ANSWERS:
        raise Refused("Say whether they want it or not.", code="what-they-said")
    if kept.said == said:
        return kept
    changed = Call.objects.filter(pk=kept.pk, said__in=ANSWERABLE).update(said=said, said_at=at)
    if not changed:
        raise Refused(f"{kept.want.contact} has not been told yet.", code="not-told")
    record(kept.want.contact, Said(said).label.lower(), by=by, at=at, new=_piece(kept))
    kept.refresh_from_db()
    return kept


@transaction.atomic
def pass_over(call: Call, *, by: User | None, at: datetime) -> Call:
    """They are not told at all; the next one moves up. Pressed twice, it is done once."""
    kept = _open(call)
    if Call.objects.filter(pk=kept.pk, said=Said.NOT_TOLD).update(said=Said.PASSED, said_at=at):
        record(kept.want.contact, "passed over", by=by, at=at, new=_piece(kept))
        kept.refresh_from_db()
    elif kept.said != Said.PASSED:
        raise Refused(f"{kept.want.contact} has been told meanwhile.", code="told")
    return kept


@transaction.atomic
def end_first_call(first: FirstCall, *, by: User | None, at: datetime) -> None:
    """Nobody more is told, and nobody is waited for. Pressed twice, it is ended once."""
    piece = _locked(first.instrument_id)
    settle_lapsed(at)
    if FirstCall.objects.filter(pk=first.pk, ended_at__isnull=True).update(ended_at=at):
        record(piece, "first call ended", by=by, at=at)


@every(timedelta(minutes=1))
def settle_lapsed(at: datetime) -> int:
    """Write down whose time has gone by; it is read so from that instant on, written or not."""
    over = Call.objects.filter(said=Said.NOTHING, until__lte=at, first_call__ended_at__isnull=True)
    return over.update(said=Said.LAPSED, said_at=F("until"))


def waited_for(instrument: Instrument, at: datetime) -> list[str]:
    """Who must be waited for before the piece is published, a sentence each."""
    calls = Call.objects.filter(first_call__instrument=instrument, first_call__ended_at__isnull=True)
    rows = list(calls.select_related("want__contact").order_by("position"))
    zone, says = the_shop().zone, []
    for call in rows:
        word, name = stands(turn_of(call), at=at), call.want.contact.name
        if word == Word.NOTHING and call.until:
            says.append(f"{name} has time until {call.until.astimezone(zone):%a %-d %b %Y, %H:%M}.")
        elif word == Word.YES:
            says.append(f"{name} wants it.")
        elif word == Word.NOT_TOLD:
            says.append(f"{name} has not been told yet.")
    return says


def when_published(instrument: Instrument, by: User | None, at: datetime) -> None:
    """A piece on the public side has no first call."""
    for first in FirstCall.objects.filter(instrument=instrument, ended_at__isnull=True):
        end_first_call(first, by=by, at=at)


def turn_of(call: Call) -> Turn:
    """A call as the rule reads it."""
    return Turn(Word(call.said), call.until)


def next_to_tell(first: FirstCall, calls: Sequence[Call], *, at: datetime) -> list[Call]:
    """Who may be told now, in order."""
    turns = [turn_of(call) for call in calls]
    return [calls[place] for place in may_be_told(turns, one_at_a_time=first.one_at_a_time, at=at)]


def _locked(instrument: int) -> Instrument:
    return Instrument.objects.select_for_update().get(pk=instrument)


def _open(call: Call) -> Call:
    """The call as it stands, with its piece locked; Refused when its first call has ended."""
    _locked(call.first_call.instrument_id)
    kept = Call.objects.select_related("first_call__instrument", "want__contact").get(pk=call.pk)
    if kept.first_call.ended_at:
        raise Refused("This first call has ended.", code="ended")
    return kept


def _in_turn(call: Call, *, at: datetime) -> Call:
    """The call, which may be told now or has been told; Refused when others come first, or the wish is done."""
    kept = _open(call)
    if kept.said != Said.NOT_TOLD:
        return kept
    calls = list(Call.objects.filter(first_call=kept.first_call).order_by("position"))
    if kept.pk not in {one.pk for one in next_to_tell(kept.first_call, calls, at=at)}:
        raise Refused(f"It is not the turn of {kept.want.contact} yet.", code="not-in-turn")
    if kept.want.done_at:
        raise Refused(
            f"The wish of {kept.want.contact} has been laid aside. Pass them over.", code="laid-aside"
        )
    return kept


def _begin(call: Call, *, at: datetime) -> bool:
    """Their time begins; False when it had begun."""
    until = at + timedelta(hours=call.first_call.hours)
    waiting = Call.objects.filter(pk=call.pk, said=Said.NOT_TOLD)
    begun = waiting.update(said=Said.NOTHING, told_at=at, until=until)
    call.refresh_from_db()
    return bool(begun)


def _tell(
    call: Call, letter: str, links: Links, *, by: User | None, at: datetime, as_it_stands: bool
) -> None:
    want, piece = call.want, call.first_call.instrument
    if not reachable(call):
        raise Refused(f"No mail may go to {want.contact}. Tell them otherwise, and press so.", code="no-mail")
    if not _begin(call, at=at):
        return
    inquiry = open_inquiry(want.contact, piece, by=by, at=at)
    until = call.until or at
    mail = filled(letter, want, until=until, unsubscribe=links.unsubscribe(want.pk))
    headers = unsubscribe_headers(mail.unsubscribe)
    call.message = post(inquiry, mail.text, by=by, at=at, headers=headers, as_it_stands=as_it_stands)
    call.save(update_fields=["message"])
    record(want.contact, "told of a piece", by=by, at=at, new=_piece(call))


def _piece(call: Call) -> str:
    return f"No. {call.first_call.instrument.stock_id}"
