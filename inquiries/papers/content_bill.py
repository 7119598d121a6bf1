"""A bill of sale: the piece with its numbers, its originality with the exceptions, the guarantee, and who signs."""

from decimal import Decimal

from inquiries.papers.content_common import (
    Content,
    Matter,
    addressed,
    moment_at,
    money,
    numbers_of,
    piece,
    price_line,
    told_of_originality,
)
from inquiries.sales.queries import facts_of, price_charged
from shop.refusal import Refused


def bill(matter: Matter) -> Content:
    """What stands on it. Refused while money is owed or not final, and for a sale that came to nothing.

    What the owner sent before the money was final, with the reason written, has its bill, which says so.
    """
    sale, listing = matter.sold, matter.listing
    facts, price = facts_of(sale), price_charged(sale.rows.all())
    if sale.outcome in {sale.Outcome.RETURNED, sale.Outcome.FELL_THROUGH}:
        raise Refused(
            f"This sale has ended as “{sale.get_outcome_display()}”, so there is no sale to confirm.",
            code="no-sale",
        )
    if facts.balance > 0:
        raise Refused(
            f"{money(facts.balance, sale.currency)} is still owed. A bill of sale is made once all of it is paid.",
            code="owed",
        )
    early = getattr(getattr(sale, "shipment", None), "uncleared_reason", "")
    if facts.uncleared and not early:
        raise Refused(
            f"{money(facts.uncleared, sale.currency)} of what came in is not final at the bank yet. Mark it as "
            "cleared when the bank shows that it is, and make the bill of sale then.",
            code="not-final",
        )
    told = [
        ("Maker", f"{listing.maker} ({listing.maker_of})" if listing.maker_of else listing.maker),
        ("Model", listing.model),
        ("Kind", listing.kind),
        ("Made", listing.card.made),
        ("Configuration", listing.stands_as if listing.converted else listing.made_as),
        ("Condition", listing.grade),
    ]
    return {
        "to": addressed("Buyer", matter),
        "piece": piece("The instrument", matter, numbers=False),
        "facts": [[name, value] for name, value in told if value],
        "numbers": numbers_of(matter) or ["No number was found on it."],
        "included": list(listing.included),
        "lines": [price_line(matter, price, sale.currency)],
        "deed": (
            f"{matter.shop.name} sells the instrument named here to {matter.contact.name} for "
            f"{money(price, sale.currency)}, and has received all that was charged"
            f"{_not_final(facts.uncleared, sale.currency)}.\n"
            "What is said of it here is taken from the shop’s record of the instrument on the day of this paper."
        ),
        "originality": told_of_originality(matter),
        "approval": _approval(matter),
    }


def _not_final(amount: Decimal, currency: str) -> str:
    return f"; {money(amount, currency)} of it is not yet final at the bank" if amount else ""


def _approval(matter: Matter) -> list[str]:
    facts = facts_of(matter.sold)
    if until := facts.approval_until:
        ends = "The approval period ended" if until <= matter.at else "The approval period ends"
        return [f"{ends} on {moment_at(until, matter.shop)}."]
    return [f"The buyer may look at it for {facts.approval_hours} hours from delivery and send it back."]
