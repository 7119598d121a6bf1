"""Which offers are open, what each is held against, and which one led to a hold."""

from datetime import datetime
from decimal import Decimal

from django.db.models import F, Q, QuerySet
from django.utils import timezone

from catalog.models import Instrument
from catalog.pricing.queries import agreement_on, borne_by_consignor, is_consigned, landed_cost, terms_by
from inquiries.offers.models import Offer, OfferEnd
from inquiries.offers.rules import Figures, Given, Stands, stands_at
from inquiries.sales.hold_models import Hold
from shop.money import MixedCurrencies


def open_at(at: datetime) -> Q:
    """An offer that is open at `at`: the one definition for lists, equal to `stands_at`."""
    not_ended = Q(end__isnull=True) | Q(end__at__gt=at)
    return not_ended & (Q(until__isnull=True) | Q(until__gt=at))


def offers() -> QuerySet[Offer]:
    """Every offer, the latest first, with its end, its person and its piece, in one query."""
    return Offer.objects.select_related(
        "end__hold",
        "end__by",
        "by",
        "inquiry__contact",
        "instrument__kind",
        "instrument__maker",
        "instrument__model__maker",
        "instrument__acquisition",
    )


def open_offers(at: datetime) -> QuerySet[Offer]:
    """Those open at `at`, the one that lapses next first, those without an end of time last."""
    return offers().filter(open_at(at)).order_by(F("until").asc(nulls_last=True), "at", "pk")


def with_costs(found: QuerySet[Offer]) -> QuerySet[Offer]:
    """With what the owner's figures are made of, in one more query."""
    return found.prefetch_related("instrument__costs", "instrument__agreements__tiers")


def stands(offer: Offer, *, at: datetime) -> Stands:
    """How this one stands at `at`."""
    end = getattr(offer, "end", None)
    return stands_at(offer.until, end.how if end else "", end.at if end else None, at=at)


def given(offer: Offer) -> Given:
    """Its money, and its trade-in at our value."""
    return Given(offer.amount, offer.trade_in_value)


def figures(offer: Offer, *, owner: bool, at: datetime) -> Figures:
    """What it is held against; floor and cost are for the owner's eyes alone, by the agreement of the day.

    A figure in another currency than the offer's is left out, since nothing is changed from one into the other.
    """
    piece = offer.instrument
    if piece.currency != offer.currency:
        return Figures(asked=offer.asked)
    if not owner:
        return Figures(asked=offer.asked, asking_now=piece.asking_price)
    agreement = agreement_on(piece, timezone.localdate(at))
    if agreement and agreement.currency != offer.currency:
        return Figures(asked=offer.asked, asking_now=piece.asking_price, floor=piece.floor_price)
    return Figures(
        asked=offer.asked,
        asking_now=piece.asking_price,
        floor=piece.floor_price,
        landed=_landed(piece),
        cost_rows=len(piece.costs.all()),
        terms=terms_by(piece, agreement),
        borne=sum((row.amount for row in borne_by_consignor(piece.costs.all(), agreement)), Decimal(0)),
    )


def offered_for(instrument: Instrument, at: datetime) -> list[tuple[str, Decimal]]:
    """For the costs of a record: who would give what for it, a trade-in counted at our value."""
    found = open_offers(at).filter(instrument=instrument, currency=instrument.currency)
    return [(f"Offer of {offer.inquiry.contact}", given(offer).whole) for offer in found]


def _landed(piece: Instrument) -> Decimal | None:
    """What it has cost; a piece of ours without a cost row has a cost that nobody wrote down."""
    if not is_consigned(piece) and not piece.costs.all():
        return None
    try:
        return landed_cost(piece).amount
    except MixedCurrencies:
        return None


def accepted_for(hold: Hold) -> Offer | None:
    """The offer that was accepted with this hold, the latest if there were several."""
    end = OfferEnd.objects.filter(hold=hold, how=OfferEnd.How.ACCEPTED).select_related("offer")
    found = end.order_by("-at", "-pk").first()
    return found.offer if found else None
