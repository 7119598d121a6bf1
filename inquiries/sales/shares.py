"""What the consignor of a sold piece has of its price, and until when it is to be paid.

Reckoned by the agreement in force on the day the sale was opened, and by what was written down before it ended: a row
that is added later changes nothing of a sale that is over.
"""

from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from catalog.models import Agreement, Cost
from catalog.pricing.queries import agreement_on, borne_by_consignor, is_consigned, terms_by
from catalog.pricing.share_rules import Share, reckon
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, price_charged
from shop.money import minor_units
from shop.profile.queries import the_shop

NOUGHT = Decimal(0)


def opened_on(sale: Sale, zone: ZoneInfo | None = None) -> date:
    """The day the sale was opened, by the calendar of the shop; a list hands in its `zone`, asked for once."""
    return sale.opened_at.astimezone(zone or the_shop().zone).date()


def agreement_of(sale: Sale, zone: ZoneInfo | None = None) -> Agreement | None:
    """The agreement that the sale was opened under; None for our own piece, or where none is written down.

    One in another currency than the sale's cannot be reckoned with; the deeds refuse to open such a sale.
    """
    if not is_consigned(sale.instrument) or not sale.instrument.agreements.all():
        return None
    found = agreement_on(sale.instrument, opened_on(sale, zone), written_by=sale.ended_at)
    return found if found and found.currency == sale.currency else None


def borne_of(sale: Sale, agreement: Agreement | None) -> list[Cost]:
    """The costs that the consignor bears of this sale."""
    return borne_by_consignor(sale.instrument.costs.all(), agreement, written_by=sale.ended_at)


def reckoned(sale: Sale, zone: ZoneInfo | None = None) -> Share | None:
    """The price of the sale as it is divided; None for a piece that is the shop's own."""
    agreement = agreement_of(sale, zone)
    terms = terms_by(sale.instrument, agreement)
    if terms is None:
        return None
    borne = sum((row.amount for row in borne_of(sale, agreement)), NOUGHT)
    return reckon(price_charged(sale.rows.all()), terms, borne=borne, digits=minor_units(sale.currency))


def share_due(sale: Sale, zone: ZoneInfo | None = None) -> Decimal:
    """The consignor's share of the price of `sale`; nil for a piece that was bought."""
    found = reckoned(sale, zone)
    return found.share if found else NOUGHT


def due_on(sale: Sale, zone: ZoneInfo | None = None) -> date | None:
    """Until which day the share is to be paid: so many days from the day the approval period ended.

    None before it has begun to run, and where no agreement says a number of days.
    """
    agreement, until = agreement_of(sale, zone), facts_of(sale).approval_until
    if agreement is None or until is None:
        return None
    return until.astimezone(zone or the_shop().zone).date() + timedelta(days=agreement.payout_days)
