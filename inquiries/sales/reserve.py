"""A consigned piece is sold on the terms that were agreed: in their currency, and not below the reserve unasked."""

from datetime import datetime
from decimal import Decimal

from catalog.models import Agreement, Instrument
from catalog.pricing.agreement_actions import FIELD
from catalog.pricing.queries import agreement_on
from inquiries.offers.queries import accepted_for, given
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.queries import price_charged
from inquiries.sales.shares import agreement_of
from shop.history.actions import record
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


def agreement_at(instrument: Instrument, at: datetime) -> Agreement | None:
    """The agreement of a consigned piece at an instant, by the calendar of the shop."""
    return agreement_on(instrument, at.astimezone(the_shop().zone).date())


def reserve_at(instrument: Instrument, at: datetime) -> Decimal | None:
    """What it is not to be sold below at an instant; None where nothing was agreed."""
    agreement = agreement_at(instrument, at)
    return agreement.reserve if agreement else None


def allowed_for(hold: Hold) -> Decimal | None:
    """The price below the reserve at which the owner let it go to the person of this hold: that of their offer.

    None where no offer was accepted with it, or the one that was did not lie below the reserve as it stood then.
    """
    offer, piece = accepted_for(hold), hold.instrument
    if offer is None or offer.currency != piece.currency:
        return None
    day, price = offer.end.at.astimezone(the_shop().zone).date(), given(offer).whole
    agreement = agreement_on(piece, day, written_by=offer.end.at)
    return price if agreement and agreement.reserve and price < agreement.reserve else None


def check_reserve(
    instrument: Instrument,
    price: Decimal,
    *,
    what: str,
    reason: str,
    allowed: Decimal | None = None,
    by: User | None,
    at: datetime,
) -> None:
    """Refuse a price below the reserve, unless the owner wrote the reason, which the history keeps beside both figures.

    Called inside the deed that promises or sells the piece at `price`, with its row locked; `what` names the deed. At
    `allowed`, the price that the owner gave the reason for before, nothing is asked again.
    """
    agreement = agreement_at(instrument, at)
    if agreement is None:
        return
    if agreement.currency != instrument.currency:
        raise Refused(
            f"The price is in {instrument.currency} and what was agreed with the owner of the piece is in "
            f"{agreement.currency}, so it cannot be reckoned. An agreement in {instrument.currency} is needed first.",
            code="other-currency",
        )
    if allowed is None or price < allowed:
        _not_below(agreement, price, what=what, reason=reason, by=by, at=at)


def check_lowered(sale: Sale, less: Decimal, *, reason: str, by: User | None, at: datetime) -> None:
    """Refuse to take `less` back from the price of a running sale where that goes below the reserve, by the same rule.

    The agreement is the one that the sale was opened under.
    """
    agreement = agreement_of(sale)
    if agreement is not None:
        price = price_charged(sale.rows.all()) - less
        _not_below(agreement, price, what="price taken back", reason=reason, by=by, at=at)


def _not_below(
    agreement: Agreement, price: Decimal, *, what: str, reason: str, by: User | None, at: datetime
) -> None:
    reserve = agreement.reserve
    if reserve is None or price >= reserve:
        return
    if by is not None and not by.is_owner:
        # How much was agreed is for the owner's eyes.
        raise Refused(
            "This is less than was agreed with the owner of the piece. The owner of the shop has to take it.",
            code="below-reserve",
        )
    if not reason:
        raise Refused(
            f"This is below {Money(reserve, agreement.currency)}, below which it is not to be sold by the agreement of "
            f"{agreement.starts:%-d %B %Y}. Ask the consignor, and write down why it goes below.",
            code="below-reserve",
        )
    old, new = Money(reserve, agreement.currency), Money(price, agreement.currency)
    record(
        agreement.instrument,
        f"{what} below the reserve",
        by=by,
        at=at,
        field=FIELD,
        old=old,
        new=f"{new}: {reason}",
    )
