"""Offers as the desk shows them: how each stands, and what it comes to, floor and cost for the owner alone."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.models import Instrument
from inquiries.desk.offer_forms import EndOfferForm, OfferForm
from inquiries.offers.models import Offer
from inquiries.offers.queries import figures, given, offers, stands, with_costs
from inquiries.offers.rules import Given, Line, Stands, compare, spoken
from inquiries.threads.models import Inquiry
from shop.money import Money
from shop.staff.models import User


@dataclass(frozen=True)
class Against:
    """One line of the comparison, in words."""

    line: Line
    whole: str
    cash: str


@dataclass(frozen=True)
class Shown:
    """One offer for one reader at one instant."""

    offer: Offer
    stands: Stands
    given: Given
    against: list[Against]
    end_form: EndOfferForm

    @property
    def is_open(self) -> bool:
        """Whether it can still be accepted, declined or taken back."""
        return self.stands == Stands.OPEN

    @property
    def key(self) -> str:
        """The tone of the word."""
        return {Stands.OPEN: "open", Stands.ACCEPTED: "good"}.get(self.stands, "past")


def shown(offer: Offer, *, user: User, at: datetime) -> Shown:
    """An offer with what it is held against."""
    would_give, currency = given(offer), offer.currency
    against = [
        Against(
            line,
            spoken(line.whole, currency, both=line.key == "cost"),
            spoken(line.cash, currency, both=line.key == "cost") if line.cash else "",
        )
        for line in compare(would_give, figures(offer, owner=user.is_owner, at=at), currency)
    ]
    end_form = EndOfferForm(auto_id=f"offer_{offer.pk}_%s")
    return Shown(offer, stands(offer, at=at), would_give, against, end_form)


def all_shown(found: Iterable[Offer], *, user: User, at: datetime) -> list[Shown]:
    """Each of them."""
    return [shown(offer, user=user, at=at) for offer in found]


def offers_panel(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """What this person has offered for the piece, open ones first, and what others would give for it now."""
    if instrument is None:
        return {}
    found = offers().filter(instrument=instrument)
    rows = all_shown(with_costs(found) if user.is_owner else found, user=user, at=at)
    own = [row for row in rows if row.offer.inquiry.contact_id == inquiry.contact_id]
    return {
        "own_offers": sorted(own, key=lambda row: not row.is_open),
        "other_offers": [row for row in rows if row.is_open and row not in own],
        "offer_form": OfferForm(currency=instrument.currency),
    }


def said_of(offer: Offer) -> str:
    """“Cole Withers would give $11,000 for No. 5001.”"""
    sum_of_it = Money(offer.amount, offer.currency)
    besides = " and a trade-in" if offer.trade_in else ""
    return f"{offer.inquiry.contact} would give {sum_of_it}{besides} for No. {offer.instrument.stock_id}."
