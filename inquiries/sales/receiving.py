"""Money comes in: the day, the surcharge on a card, the rate of another currency; then its row and its receipt."""

from datetime import date, datetime, time
from decimal import Decimal

from inquiries.papers.receipts import issue_receipt
from inquiries.sales.hold_models import Hold
from inquiries.sales.ledger_models import Exchange, LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.money_rules import day_refused, may_count_as, surcharge_on
from inquiries.sales.steps import Kind, Received, add_row
from inquiries.sales.surcharges import surcharge_entry
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


def take_in(sale: Sale, kind: str, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    """Add money received to a locked sale: with its surcharge, its rate, and its receipt."""
    received_at = came_in_at(sale, money.on, at=at)
    _check_rate(sale, money)
    extra = _add_surcharge(sale, money, by=by, at=at)
    row = add_row(
        sale,
        kind,
        -(money.amount + extra),
        by=by,
        at=at,
        entry=money.entry,
        method=money.method,
        note=money.note,
        received_at=received_at,
    )
    if quoted := money.quoted:
        Exchange.objects.create(
            row=row,
            amount=quoted.amount,
            currency=quoted.currency,
            rate=quoted.rate,
            quoted_on=quoted.on,
            source=quoted.source,
        )
    issue_receipt(row, by=by, at=at)
    return row


def asked_on(sale: Sale) -> date | None:
    """The day on which the hold that became this sale was asked for."""
    holds = Hold.objects.filter(
        instrument=sale.instrument_id, inquiry=sale.inquiry_id, state=Hold.State.SALE, ended_at=sale.opened_at
    )
    hold = holds.order_by("-pk").first()
    return hold.asked_at.astimezone(the_shop().zone).date() if hold else None


def came_in_at(sale: Sale, on: date | None, *, at: datetime) -> datetime:
    """The instant that stands for the day money came in: now for today, noon on the shop's clock for another day.

    Raises Refused for a day to come, or one before the hold was asked for.
    """
    zone = the_shop().zone
    today = at.astimezone(zone).date()
    if on is None or on == today:
        return at
    if why := day_refused(on, today=today, asked=asked_on(sale)):
        raise Refused(why, code="day-of-money")
    return datetime.combine(on, time(12), tzinfo=zone)


def _check_rate(sale: Sale, money: Received) -> None:
    quoted = money.quoted
    if quoted is None:
        return
    if quoted.currency == sale.currency:
        raise Refused(
            f"{quoted.currency} is the currency of this sale. Leave the rate out.", code="same-currency"
        )
    if not may_count_as(money.amount, quoted, sale.currency):
        one = Money(quoted.amount, quoted.currency)
        raise Refused(
            f"{one} at {quoted.rate.normalize():f} is not {Money(money.amount, sale.currency)}. Check the rate.",
            code="rate",
        )
    if money.surcharge:
        raise Refused(
            "A surcharge is reckoned on a payment in the currency of the sale. Take one of the two away.",
            code="surcharge-and-rate",
        )


def _add_surcharge(sale: Sale, money: Received, *, by: User | None, at: datetime) -> Decimal:
    if not money.surcharge:
        return Decimal(0)
    percent = sale.terms.surcharge_percent
    if not percent:
        raise Refused(
            "By the policy of this sale no surcharge is charged. Take the surcharge away; one in the house policy "
            "counts for later sales.",
            code="no-surcharge",
        )
    if money.method != LedgerRow.Method.CARD:
        raise Refused("A surcharge is for cards alone. Take it away, or choose the card.", code="not-a-card")
    extra = surcharge_on(money.amount, percent, sale.currency)
    if extra:
        note = f"{percent.normalize():f} per cent"
        add_row(sale, Kind.SURCHARGE, extra, by=by, at=at, entry=surcharge_entry(money.entry), note=note)
    return extra
