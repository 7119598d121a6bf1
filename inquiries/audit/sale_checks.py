"""Sales: the copy of the stage, the ledger of each, what it must have beside it, and the history of its deeds."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import connection
from django.db.models import Count, F, Q, QuerySet
from django.urls import reverse

from catalog.models import Instrument
from inquiries.audit.checks import check
from inquiries.audit.rules import Finding, copy_in_order
from inquiries.returns.models import Inspection
from inquiries.sales.hold_models import Hold
from inquiries.sales.ledger_models import Clearing, LedgerRow, Payout
from inquiries.sales.models import Sale
from inquiries.sales.proof import unbalanced
from inquiries.sales.queries import facts_of, with_rows
from inquiries.sales.rules import stage
from inquiries.shipping.models import Delivery, Shipment
from shop.history.models import Entry
from shop.money import Money, minor_units

AT_ONCE = 200
NOT_BY_A_DEED = (
    "No deed of the shop does this: find out who wrote to the database, and bring back a copy if need be."
)

# Amounts have three decimals at most; whole thousandths add up exactly in either database.
ADDED_UP = """
SELECT s.id, COALESCE(SUM(CAST(ROUND(r.amount * 1000) AS BIGINT)), 0)
FROM inquiries_sale s LEFT JOIN inquiries_ledgerrow r ON r.sale_id = s.id GROUP BY s.id
"""


def of_sale(sale: Sale, what: str, remedy: str = NOT_BY_A_DEED) -> Finding:
    """A finding about a sale."""
    return Finding(f"Sale {sale.number}", what, remedy, reverse("sale", args=[sale.number]))


def _sales() -> Iterator[Sale]:
    return with_rows(Sale.objects.order_by("pk")).iterator(chunk_size=AT_ONCE)


@check("the copy of the stage")
def stages(at: datetime) -> Iterator[Finding]:
    """The stage that is stored is the one that the rows say."""
    for sale in _sales():
        now = stage(facts_of(sale), at=at)
        if not copy_in_order(sale.stage, now):
            stored = dict(Sale._meta.get_field("stage").flatchoices).get(sale.stage, sale.stage)
            yield of_sale(
                sale,
                f"it is stored as “{stored}”, and its rows say “{now}”.",
                "The rows count. The next deed on the sale sets the copy right.",
            )


@check("the ledgers")
def ledgers(at: datetime) -> Iterator[Finding]:
    """A ledger that has ended is nil; each row is in the currency of its sale; a reversal undoes its row exactly."""
    for sale in _sales():
        rows, facts = list(sale.rows.all()), facts_of(sale)
        if sale.ended_at and facts.balance:
            owed = Money(facts.balance, sale.currency)
            yield of_sale(sale, f"it has ended, and its ledger still comes to {owed}.")
        # An open one may come to that: a check bounces after money was sent back. It cannot end so.
        if sale.ended_at and facts.paid < 0:
            yield of_sale(sale, "more was paid back than was ever received.")
        if not any(row.kind == LedgerRow.Kind.PRICE for row in rows):
            yield of_sale(sale, "no price stands in its ledger.")
        for row in rows:
            yield from (of_sale(sale, f"row {row.pk} ({row}): {wrong}") for wrong in _wrong_of(row, sale))


def _wrong_of(row: LedgerRow, sale: Sale) -> Iterator[str]:
    if row.currency != sale.currency:
        yield f"it is in {row.currency}, the sale in {sale.currency}."
    if row.amount != round(row.amount, minor_units(row.currency)):
        yield f"{row.currency} has no such fraction."
    undone = row.reverses
    if undone and (undone.amount != -row.amount or undone.sale_id != row.sale_id):
        yield "it is not the opposite of the row that it undoes."
    receipts = list(row.receipts.all())
    if row.is_money_in and not receipts:
        yield "money was received without a receipt."
    for receipt in receipts:
        if receipt.sale_id != row.sale_id or not row.is_money_in:
            yield f"receipt {receipt.number} is not of this amount."
    if hasattr(row, "clearing") and not row.is_money_in:
        yield "it is marked as cleared, and is no money received."


@check("the ledgers, by the database")
def ledgers_by_sql(at: datetime) -> Iterator[Finding]:
    """What was charged less what was paid, in Python, is what the database adds up of the rows, in whole parts."""
    with connection.cursor() as cursor:
        cursor.execute(ADDED_UP)
        added = {sale: Decimal(int(parts)) / 1000 for sale, parts in cursor.fetchall()}
    for sale in _sales():
        reckoned = facts_of(sale).balance
        if reckoned != added[sale.pk]:
            yield of_sale(
                sale, f"its ledger comes to {reckoned} in Python and to {added[sale.pk]} by the database."
            )


@check("the double entry")
def double_entry(at: datetime) -> Iterator[Finding]:
    """Each account of each sale holds what its rows, clearings and payouts come to, reckoned by the database alone."""
    for wrong in unbalanced():
        yield Finding(f"Sale {wrong.sale}", str(wrong), NOT_BY_A_DEED, reverse("sale", args=[wrong.sale]))


@check("one sale at a time")
def one_sale(at: datetime) -> Iterator[Finding]:
    """A piece has one open sale at most, is closed once at most, and is sold exactly when a sale of it has closed.

    While a sale is open it is listed, or a draft where it came back not as it was sent.
    """
    differs = Q(sales__ended_at__isnull=True, sales__inspection__verdict=Inspection.Verdict.DIFFERS)
    counted = Instrument.objects.annotate(
        open=Count("sales", filter=Q(sales__ended_at__isnull=True)),
        closed=Count("sales", filter=Q(sales__outcome=Sale.Outcome.CLOSED)),
        differing=Count("sales", filter=differs),
    )
    wrong = counted.filter(
        Q(open__gt=1)
        | Q(closed__gt=1)
        | Q(closed=0, state=Instrument.State.SOLD)
        | Q(closed__gt=0) & ~Q(state=Instrument.State.SOLD)
        | Q(open__gt=0)
        & ~Q(state=Instrument.State.LISTED)
        & ~Q(differing__gt=0, state=Instrument.State.DRAFT)
    )
    for piece in wrong.order_by("stock_id"):
        has: Any = piece
        stands = piece.get_state_display().lower()
        what = f"it is {stands}, with {has.open} open and {has.closed} closed sales."
        yield Finding(f"No. {piece.stock_id}", what, NOT_BY_A_DEED, reverse("record", args=[piece.stock_id]))


@check("sales and their holds")
def begun(at: datetime) -> Iterator[Finding]:
    """Each sale began on a hold of its buyer that became a sale at that instant, and each such hold has its sale."""
    sales: Counter[tuple[Any, ...]] = Counter(
        Sale.objects.values_list("instrument__stock_id", "contact_id", "opened_at")
    )
    became = Hold.objects.filter(state=Hold.State.SALE)
    holds: Counter[tuple[Any, ...]] = Counter(
        became.values_list("instrument__stock_id", "contact_id", "ended_at")
    )
    for stock, *_ in (sales - holds).elements():
        what = "a sale began without a hold of its buyer."
        yield Finding(f"No. {stock}", what, NOT_BY_A_DEED, reverse("record", args=[stock]))
    for stock, *_ in (holds - sales).elements():
        what = "a hold became a sale, and there is none."
        yield Finding(f"No. {stock}", what, NOT_BY_A_DEED, reverse("record", args=[stock]))


@check("the way of the parcel")
def parcels(at: datetime) -> Iterator[Finding]:
    """What follows what: delivered after it was sent, paid out after the sale had closed."""
    early = Delivery.objects.filter(at__lt=F("shipment__at")).select_related("shipment__sale")
    for delivery in early:
        yield of_sale(delivery.shipment.sale, "it was delivered before it was sent.")
    unsent = Sale.objects.filter(outcome__in=["closed", "returned"], shipment__isnull=True)
    for sale in unsent:
        yield of_sale(sale, "it has ended as if the buyer had it, and it was never sent.")
    unsold = Payout.objects.exclude(sale__outcome=Sale.Outcome.CLOSED).select_related("sale")
    for payout in unsold:
        yield of_sale(payout.sale, "its consignor was paid, though it did not close.")


@check("the history of sales and holds")
def history(at: datetime) -> Iterator[Finding]:
    """Each deed on a sale or a hold left one entry in the history, and each entry has its deed.

    What an entry says may have been erased for a person; that it is there, never.
    """
    ended = Sale.objects.exclude(outcome="")
    done = {
        "added": LedgerRow.objects.values_list("sale"),
        "cleared": Clearing.objects.values_list("row__sale"),
        "sent": Shipment.objects.values_list("sale"),
        "delivered": Delivery.objects.values_list("shipment__sale"),
        "consignor paid": Payout.objects.values_list("sale"),
        **{
            outcome.label.lower(): ended.filter(outcome=outcome).values_list("pk") for outcome in Sale.Outcome
        },
    }
    numbers = dict(Sale.objects.values_list("pk", "number"))
    for verb, deeds in done.items():
        for key, deed, entry in _unlike("sale", verb, deeds):
            page = reverse("sale", args=[numbers[key]]) if key in numbers else ""
            what = f"“{verb}” stands {entry} times in its history and {deed} times in the books."
            yield Finding(f"Sale {numbers.get(key, key)}", what, NOT_BY_A_DEED, page)
    holds = {
        "placed": Hold.objects.values_list("pk"),
        "ended": Hold.objects.filter(ended_at__isnull=False).values_list("pk"),
    }
    for verb, deeds in holds.items():
        for key, deed, entry in _unlike("hold", verb, deeds):
            what = f"“{verb}” stands {entry} times in its history and {deed} times in the books."
            yield Finding(f"Hold {key}", what, NOT_BY_A_DEED)


def _unlike(about: str, verb: str, deeds: "QuerySet[Any, Any]") -> list[tuple[int, int, int]]:
    """Of which rows the deeds and the entries differ in number: the row, how many deeds, how many entries."""
    done = Counter(key for (key,) in deeds.order_by())
    told = Counter(Entry.objects.filter(about=about, verb=verb).order_by().values_list("about_id", flat=True))
    return [
        (key, done[key], told[key]) for key in sorted(done.keys() | told.keys()) if done[key] != told[key]
    ]
