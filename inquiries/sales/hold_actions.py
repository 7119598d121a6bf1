"""Promise first refusal, keep the queue in order, make a promise longer once, and let it end at its instant."""

from datetime import datetime

from django.db import transaction

from catalog.models import Instrument
from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.promises import Promise, longer, why_not, why_not_longer
from inquiries.sales.queries import holds_in_force, open_sale_of
from inquiries.sales.rules import chain
from inquiries.threads.models import Inquiry
from shop.history.actions import record
from shop.jobs.actions import Finish, task
from shop.policies.models import HousePolicy
from shop.policies.queries import policy_at
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User
from shop.wording import moment_of

OWN_WORD = "They gave it up themselves"


@transaction.atomic
def place_hold(
    instrument: Instrument,
    inquiry: Inquiry,
    *,
    by: User | None,
    at: datetime,
    hours: int | None = None,
    balance_hours: int | None = None,
) -> Hold:
    """Promise `instrument` to the person of `inquiry`, or give them the next place in the queue.

    With `balance_hours` it is a hold with a deposit: `hours` is how long the deposit may take, and the balance is due
    so long after the start. Nothing given is what the house policy proposes, and the hold keeps that policy. A second
    press for the same person hands back the promise they have. Raises Refused when the instrument is not for sale, or
    the policy does not allow so much.
    """
    instrument = _locked(instrument)
    if instrument.state != Instrument.State.LISTED:
        raise Refused(
            f"No. {instrument.stock_id} is not for sale, so it cannot be held. Publish it first.",
            code="not-for-sale",
        )
    _settle(instrument, at=at)
    waiting = list(holds_in_force().filter(instrument=instrument))
    for hold in waiting:
        if hold.contact_id == inquiry.contact_id:
            return hold
    policy = policy_at(at)
    usual = policy.hold_hours if balance_hours is None else policy.deposit_due_hours
    promise = Promise(hours or usual, balance_hours)
    if refused := why_not(promise, policy):
        raise Refused(refused, code="not-by-policy")
    hold = _new_hold(instrument, inquiry, waiting, promise, policy, by=by, at=at)
    record(hold, "placed", by=by, at=at, field="hold", new=hold.get_state_display())
    record(instrument, "hold placed", by=by, at=at, field=hold.get_state_display(), new=inquiry.contact.name)
    return hold


def _new_hold(
    instrument: Instrument,
    inquiry: Inquiry,
    waiting: list[Hold],
    promise: Promise,
    policy: HousePolicy,
    *,
    by: User | None,
    at: datetime,
) -> Hold:
    in_sale = open_sale_of(instrument) is not None
    start = (waiting[-1].until if waiting else at) if not in_sale else None
    span = chain(start, [promise.hours])[0] if start else (None, None)
    hold = Hold.objects.create(
        instrument=instrument,
        inquiry=inquiry,
        contact=inquiry.contact,
        state=Hold.State.QUEUED if waiting or in_sale else Hold.State.ACTIVE,
        condition=Hold.Condition.DEPOSIT if promise.with_deposit else Hold.Condition.FREE,
        hours=promise.hours,
        balance_hours=promise.balance_hours,
        policy=policy if policy.pk else None,
        # Whoever waited for the lock asks after those who had it, whatever their own clock said.
        asked_at=max([at, *(other.asked_at for other in waiting)]),
        starts_at=span[0],
        until=span[1],
        by=by,
    )
    _schedule(hold)
    return hold


@transaction.atomic
def extend_hold(hold: Hold, *, hours: int, by: User | None, at: datetime) -> Hold:
    """Make a running hold longer, once, by what its own policy allows; those behind it move back.

    Raises Refused when it does not run, was made longer before, or the policy does not allow so much.
    """
    instrument = _locked(hold.instrument)
    _settle(instrument, at=at)
    kept = Hold.objects.select_related("contact", "policy", "instrument").get(pk=hold.pk)
    if kept.state != Hold.State.ACTIVE or kept.until is None:
        raise Refused(
            "This hold does not run now, so it cannot be made longer. The page shows how it stands.",
            code="not-running",
        )
    before, promise = kept.until, Promise(kept.hours, kept.balance_hours)
    if refused := why_not_longer(promise, kept.terms, by_hours=hours, extended_hours=kept.extended_hours):
        raise Refused(refused, code="extended" if kept.extended_hours else "not-by-policy")
    until = longer(before, hours)
    won = Hold.objects.filter(pk=kept.pk, state=Hold.State.ACTIVE, extended_hours=0, until=before).update(
        extended_hours=hours, extended_at=at, until=until
    )
    if not won:
        raise Refused("This hold was changed just now. The page shows how it stands.", code="changed")
    kept.refresh_from_db()
    _schedule(kept)
    record(kept, "made longer", by=by, at=at, field="until", old=spoken(before), new=spoken(until))
    record(instrument, "hold made longer", by=by, at=at, old=spoken(before), new=spoken(until))
    _move_up(instrument, at=at)
    return kept


@transaction.atomic
def release_hold(hold: Hold, *, by: User | None, at: datetime, reason: str = "", given_up: str = "") -> None:
    """End a hold, or leave the queue, before its time; those behind move up at once.

    `given_up` is how its person said that they give it up: they know that it has ended, and the notice stands with it.
    Empty, it is a deed of ours, and they are still to be told.
    """
    instrument = _locked(hold.instrument)
    _settle(instrument, at=at)
    if not _end(hold, Hold.State.RELEASED, by=by, at=at, reason=reason):
        raise Refused("This hold has already ended. The page shows how it stands now.", code="ended")
    if given_up:
        HoldNotice.objects.create(
            hold=hold, what=HoldNotice.What.ENDED, channel=given_up, note=OWN_WORD, by=by, at=at
        )
    _move_up(instrument, at=at)


@transaction.atomic
def settle(instrument: Instrument, *, at: datetime) -> None:
    """Bring the books up to `at`: end what has lapsed, each at its own instant, and move the queue up."""
    _settle(_locked(instrument), at=at)


@task
def settle_when_due(instrument: int) -> Finish:
    """The worker's part: settle one instrument at the instant. Running it twice changes nothing."""
    return lambda at: settle(Instrument.objects.get(pk=instrument), at=at)


def turn_into_sale(hold: Hold, *, by: User | None, at: datetime) -> None:
    """End the running hold because its sale begins, and let the queue wait behind the sale.

    Called inside the sale's transaction, with the instrument locked. Raises Refused when the hold
    does not run at `at`.
    """
    _settle(hold.instrument, at=at)
    if not _end(hold, Hold.State.SALE, by=by, at=at, only=Hold.State.ACTIVE):
        raise Refused(
            "This hold does not run now, so no deposit can be taken on it. Place a hold for this buyer first.",
            code="hold-not-running",
        )
    holds_in_force().filter(instrument=hold.instrument).update(starts_at=None, until=None)


def resume_queue(instrument: Instrument, *, at: datetime) -> None:
    """After a sale has ended without the instrument going: the first who waits has it from `at`."""
    _move_up(instrument, at=at)


def end_queue(
    instrument: Instrument, *, by: User | None, at: datetime, reason: str = "Sold to another buyer"
) -> None:
    """The instrument is sold, or gone: whoever still waits is released."""
    for hold in holds_in_force().filter(instrument=instrument):
        _end(hold, Hold.State.RELEASED, by=by, at=at, reason=reason)


def _locked(instrument: Instrument) -> Instrument:
    return Instrument.objects.select_for_update().get(pk=instrument.pk)


def _settle(instrument: Instrument, *, at: datetime) -> None:
    lapsed = Hold.objects.filter(instrument=instrument, state=Hold.State.ACTIVE, until__lte=at)
    while hold := lapsed.first():
        ended = hold.until or at
        _end(hold, Hold.State.EXPIRED, by=None, at=ended)
        following = holds_in_force().filter(instrument=instrument, state=Hold.State.QUEUED).first()
        if following is not None:
            _activate(following, at=ended)


def _move_up(instrument: Instrument, *, at: datetime) -> None:
    """Let the spans follow one another again, after a hold has ended or was made longer; the first one runs."""
    if open_sale_of(instrument) is not None:
        return
    waiting = list(holds_in_force().filter(instrument=instrument))
    if waiting and waiting[0].state == Hold.State.ACTIVE:
        start, rest = waiting[0].until or at, waiting[1:]
    else:
        start, rest = at, waiting
    for hold, (starts_at, until) in zip(rest, chain(start, [hold.hours for hold in rest]), strict=True):
        Hold.objects.filter(pk=hold.pk).update(starts_at=starts_at, until=until)
        hold.starts_at, hold.until = starts_at, until
        _schedule(hold)
    if rest and rest[0] is waiting[0]:
        _activate(rest[0], at=at)


def _activate(hold: Hold, *, at: datetime) -> None:
    won = Hold.objects.filter(pk=hold.pk, state=Hold.State.QUEUED).update(state=Hold.State.ACTIVE)
    if won:
        record(hold, "moved up", by=None, at=at, field="hold", old=Hold.State.QUEUED.label, new="On hold")
        record(hold.instrument, "hold moved up", by=None, at=at, new=hold.contact.name)


def _end(
    hold: Hold, state: Hold.State, *, by: User | None, at: datetime, reason: str = "", only: str = ""
) -> bool:
    """Compare and swap: end `hold` if it is still in force (or in the state `only`)."""
    standing = [only] if only else [Hold.State.ACTIVE, Hold.State.QUEUED]
    changed = Hold.objects.filter(pk=hold.pk, state__in=standing).update(
        state=state, ended_at=at, reason=reason
    )
    if changed:
        record(hold, "ended", by=by, at=at, field="hold", old=hold.get_state_display(), new=state.label)
        record(hold.instrument, f"hold {state.label.lower()}", by=by, at=at, old=hold.contact.name)
    return bool(changed)


def spoken(instant: datetime) -> str:
    """An instant by the clock of the shop, as the history says it."""
    return moment_of(instant.astimezone(the_shop().zone))


def _schedule(hold: Hold) -> None:
    if hold.until is not None:
        settle_when_due.enqueue(at=hold.until, instrument=hold.instrument_id)
