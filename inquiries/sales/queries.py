"""Which holds, which sales, and what their rows add up to."""

from collections.abc import Collection, Iterable
from datetime import datetime
from decimal import Decimal

from django.db.models import Exists, Min, OuterRef, Q, QuerySet

from catalog.instruments.queries import InstrumentQuerySet
from catalog.models import Instrument
from inquiries.returns.models import ReturnCall
from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.rules import SaleFacts
from inquiries.threads.models import Message

IN_FORCE = [Hold.State.ACTIVE, Hold.State.QUEUED]
Kind = LedgerRow.Kind
SETTLES = {Kind.DEPOSIT, Kind.PAYMENT, Kind.TRADE_IN, Kind.BY_CREDIT, Kind.REFUND, Kind.TO_CREDIT}
OF_THE_PRICE = {Kind.PRICE, Kind.CREDIT}


def holds_in_force() -> QuerySet[Hold]:
    """Active and queued holds, in the order they were asked for, with the person."""
    return (
        Hold.objects.filter(state__in=IN_FORCE)
        .select_related("contact", "instrument__model__maker", "instrument__maker", "instrument__kind")
        .order_by("asked_at", "pk")
    )


def still_to_be_told() -> QuerySet[Hold]:
    """Holds released by a deed of ours, whose people have had no word since: neither that it has ended, nor a reply.

    Who gave a hold up by their own word knows, and the notice says so.
    """
    since = Q(at__gte=OuterRef("ended_at"))
    told = HoldNotice.objects.filter(since, hold=OuterRef("pk"), what=HoldNotice.What.ENDED)
    replied = Message.objects.filter(since, inquiry=OuterRef("inquiry"), ours=True, automatic=False)
    return (
        Hold.objects.filter(~Exists(told), ~Exists(replied), state=Hold.State.RELEASED)
        .filter(contact__erased_at__isnull=True)
        .select_related("contact", "instrument__model__maker", "instrument__maker", "instrument__kind")
        .order_by("ended_at", "pk")
    )


def runs_at(at: datetime) -> Q:
    """A hold whose promise runs at `at`: the one definition, for a row and for a list."""
    return Q(state__in=IN_FORCE, starts_at__lte=at, until__gt=at)


def running_hold(instrument: Instrument, *, at: datetime) -> Hold | None:
    """The hold that runs on `instrument` at `at`, whether or not the books have been brought up to it."""
    return Hold.objects.filter(runs_at(at), instrument=instrument).select_related("contact").first()


def queue_of(instrument: Instrument, *, at: datetime) -> list[Hold]:
    """Who waits after the hold or sale that stands at `at`, in order."""
    return list(holds_in_force().filter(_waits_at(at), instrument=instrument))


def _waits_at(at: datetime) -> Q:
    return Q(starts_at__isnull=True) | Q(starts_at__gt=at)


def count_waiting(instrument: Instrument, at: datetime) -> int:
    """How many wait after the hold or sale that stands at `at`."""
    return Hold.objects.filter(_waits_at(at), instrument=instrument, state__in=IN_FORCE).count()


def annotate_availability(instruments: InstrumentQuerySet, at: datetime) -> InstrumentQuerySet:
    """Give each instrument `taken`: whether a hold runs or a sale is open at `at`."""
    running = Hold.objects.filter(runs_at(at), instrument=OuterRef("pk"))
    in_sale = Sale.objects.filter(ended_at__isnull=True, instrument=OuterRef("pk"))
    return instruments.annotate(taken=Exists(running) | Exists(in_sale))


def taken_at(at: datetime) -> set[int]:
    """The keys of the instruments that `annotate_availability` calls taken."""
    running = Hold.objects.filter(runs_at(at)).values_list("instrument", flat=True)
    in_sale = Sale.objects.filter(ended_at__isnull=True).values_list("instrument", flat=True)
    return set(running.order_by().union(in_sale.order_by()))


def next_turn(instruments: InstrumentQuerySet, at: datetime) -> datetime | None:
    """The first instant after `at` at which a hold on one of these begins or ends."""
    ahead = Hold.objects.filter(state__in=IN_FORCE, instrument__in=instruments.order_by()).aggregate(
        begins=Min("starts_at", filter=Q(starts_at__gt=at)), ends=Min("until", filter=Q(until__gt=at))
    )
    return min((instant for instant in ahead.values() if instant), default=None)


def told_end(instrument: Instrument, at: datetime) -> datetime | None:
    """The end of the hold that runs at `at`, where the policy it was made under lets a listing say it."""
    hold = Hold.objects.filter(runs_at(at), instrument=instrument).select_related("policy").first()
    return hold.until if hold and hold.terms.timer_public else None


def open_sale_of(instrument: Instrument) -> Sale | None:
    """The open sale of an instrument, if there is one."""
    return Sale.objects.filter(instrument=instrument, ended_at__isnull=True).first()


def with_rows(sales: QuerySet[Sale]) -> QuerySet[Sale]:
    """Sales with everything `facts_of` reads, in a fixed number of queries."""
    return sales.select_related(
        "contact",
        "inquiry",
        "instrument__kind",
        "instrument__maker",
        "instrument__model__maker",
        "instrument__acquisition",
        "policy",
        "shipment__delivery",
        "shipment__loss",
        "payout",
        "inspection",
    ).prefetch_related(
        "return_calls__dropped",
        "plans__instalments",
        "rows__clearing",
        "rows__reverses",
        "rows__reversed_by",
        "rows__receipts",
        "instrument__costs",
        "instrument__agreements__tiers",
    )


def for_page(sales: QuerySet[Sale]) -> QuerySet[Sale]:
    """Sales with what their page shows of each row besides."""
    return with_rows(sales).prefetch_related("rows__by", "rows__exchange", "rows__bank_steps__by")


def charged(rows: Iterable[LedgerRow]) -> Decimal:
    """All that was charged, less what was taken back."""
    return sum((row.amount for row in rows if kind_of(row) not in SETTLES), Decimal(0))


def price_charged(rows: Iterable[LedgerRow]) -> Decimal:
    """The price charged, less what was taken back of it; shipping, tax and fees are not in it."""
    return of_kinds(rows, OF_THE_PRICE)


def of_kinds(rows: Iterable[LedgerRow], kinds: Collection[str]) -> Decimal:
    """The sum of the rows of these kinds, reversals counted with what they undo."""
    return sum((row.amount for row in rows if kind_of(row) in kinds), Decimal(0))


def paid(rows: Iterable[LedgerRow]) -> Decimal:
    """All that was received or counted as such, less what was given back or reversed."""
    return -of_kinds(rows, SETTLES)


def money_received(rows: Iterable[LedgerRow]) -> Decimal:
    """What came in as money, less what went back as money; nothing taken in trade, nothing of store credit."""
    return -of_kinds(rows, {Kind.DEPOSIT, Kind.PAYMENT, Kind.REFUND})


def uncleared(rows: Iterable[LedgerRow]) -> Decimal:
    """Money received, standing, and not yet final at the bank."""
    return sum((row.received for row in rows if awaits_clearing(row)), Decimal(0))


def standing_charges(rows: Iterable[LedgerRow]) -> list[LedgerRow]:
    """What was charged or taken back of it, and has not been reversed."""
    return [
        row
        for row in rows
        if row.kind not in SETTLES and row.kind != Kind.REVERSAL and not hasattr(row, "reversed_by")
    ]


def awaits_clearing(row: LedgerRow) -> bool:
    """Whether the bank has still to make this row final; cash is final in the hand."""
    settled = hasattr(row, "clearing") or hasattr(row, "reversed_by")
    return row.is_money_in and row.method != LedgerRow.Method.CASH and not settled


def standing_call(sale: Sale) -> ReturnCall | None:
    """The buyer's word that it comes back, as long as it stands."""
    standing = [call for call in sale.return_calls.all() if not hasattr(call, "dropped")]
    return standing[-1] if standing else None


def facts_of(sale: Sale) -> SaleFacts:
    """What the rows of `sale` add up to (reads its rows, shipment and delivery)."""
    rows = list(sale.rows.all())
    shipment = getattr(sale, "shipment", None)
    delivery, loss = getattr(shipment, "delivery", None), getattr(shipment, "loss", None)
    return SaleFacts(
        charged=charged(rows),
        paid=paid(rows),
        uncleared=uncleared(rows),
        approval_hours=sale.approval_hours,
        shipped_at=shipment.at if shipment else None,
        lost_at=loss.at if loss else None,
        delivered_at=delivery.at if delivery else None,
        returning_at=call.said_at if (call := standing_call(sale)) else None,
        inspected_at=sale.inspection.at if hasattr(sale, "inspection") else None,
        outcome=sale.outcome,
    )


def kind_of(row: LedgerRow) -> str:
    """The kind of a row; of a reversal, the kind of what it undoes."""
    return row.reverses.kind if row.reverses else row.kind
