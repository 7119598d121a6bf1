"""What a consignor is told of the sale of their piece, as plain values: what the paper is made from."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.models import Agreement
from catalog.pricing.share_rules import Part
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of
from inquiries.sales.shares import agreement_of, borne_of, due_on, reckoned
from shop.profile.queries import the_shop


@dataclass(frozen=True)
class BorneCost:
    """A cost that the consignor bears: the day, what for, the amount; below nought where one was taken back."""

    on: date
    what: str
    amount: Decimal


@dataclass(frozen=True)
class Statement:
    """One sale, as it is settled with the consignor. All amounts are in `currency`.

    `parts` are the tiers that the price reached, each with its rate, its amount and the commission on it; they add up
    to `by_rate`. `commission` is more than that where the least commission took its place (`by_least`). Price less
    commission less `costs_in_all` is `share`, and never below nought: `not_covered` is what the price did not cover.
    """

    sale: str
    stock: int
    piece: str
    consignor: str
    consignor_contact: str
    opened_on: date
    closed_on: date | None
    approval_over_on: date | None
    agreed_on: date | None
    currency: str
    price: Decimal
    net: bool
    counted_on: Decimal
    parts: tuple[Part, ...]
    by_rate: Decimal
    least: Decimal
    by_least: bool
    commission: Decimal
    costs: tuple[BorneCost, ...]
    costs_in_all: Decimal
    not_covered: Decimal
    share: Decimal
    due_on: date | None
    paid: Decimal | None
    paid_on: date | None
    paid_how: str

    @property
    def left_to_pay(self) -> Decimal:
        """What of the share has not been paid."""
        return self.share - (self.paid or Decimal(0))


def statement_of(sale: Sale) -> Statement | None:
    """The statement of a sale (from `with_rows`); None for a piece that is the shop's own."""
    share = reckoned(sale)
    if share is None:
        return None
    zone = the_shop().zone
    agreement, piece, facts = agreement_of(sale, zone), sale.instrument, facts_of(sale)
    until, payout = facts.approval_until, getattr(sale, "payout", None)
    return Statement(
        sale=sale.number,
        stock=piece.stock_id,
        piece=piece.title,
        consignor=piece.acquisition.seller,
        consignor_contact=piece.acquisition.seller_contact,
        opened_on=sale.opened_at.astimezone(zone).date(),
        closed_on=sale.ended_at.astimezone(zone).date() if sale.ended_at else None,
        approval_over_on=until.astimezone(zone).date() if until else None,
        agreed_on=agreement.starts if agreement else None,
        currency=sale.currency,
        price=share.price,
        net=agreement is not None and agreement.basis == Agreement.Basis.NET,
        counted_on=share.counted_on,
        parts=share.parts,
        by_rate=share.by_rate,
        least=agreement.least if agreement else Decimal(0),
        by_least=share.by_least,
        commission=share.commission,
        costs=tuple(
            BorneCost(row.on, row.get_kind_display(), row.amount) for row in borne_of(sale, agreement)
        ),
        costs_in_all=share.borne,
        not_covered=share.not_covered,
        share=share.share,
        due_on=due_on(sale, zone),
        paid=payout.amount if payout else None,
        paid_on=payout.at.astimezone(zone).date() if payout else None,
        paid_how=payout.get_method_display() if payout else "",
    )
