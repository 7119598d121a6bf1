"""Holds: nothing is ever promised to two, and the spans of a queue follow one another. No finding names a person."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse

from catalog.models import Instrument
from inquiries.audit.checks import check
from inquiries.audit.rules import Finding, Place, broken_queue
from inquiries.audit.sale_checks import NOT_BY_A_DEED
from inquiries.offers.models import OfferEnd
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.queries import holds_in_force, runs_at

BOOKS_LAG = timedelta(hours=1)


def of_piece(stock: int, what: str, remedy: str = NOT_BY_A_DEED) -> Finding:
    """A finding about a piece."""
    return Finding(f"No. {stock}", what, remedy, reverse("record", args=[stock]))


@check("holds and their queues")
def queues(at: datetime) -> Iterator[Finding]:
    """One active hold; spans that follow one another; nobody promised a piece that is not for sale."""
    waiting: dict[Instrument, list[Hold]] = defaultdict(list)
    for hold in holds_in_force():
        waiting[hold.instrument].append(hold)
    in_sale = set(Sale.objects.filter(ended_at__isnull=True).values_list("instrument", flat=True))
    for piece, holds in sorted(waiting.items(), key=lambda pair: pair[0].stock_id):
        places = [_place(hold) for hold in holds]
        for wrong in broken_queue(places, behind_sale=piece.pk in in_sale):
            yield of_piece(piece.stock_id, wrong)
        # What has ended by the clock promises nothing, whether or not the books say so yet.
        promised = [hold for hold in holds if hold.until is None or hold.until > at]
        if promised and piece.state != Instrument.State.LISTED:
            stands = piece.get_state_display().lower()
            yield of_piece(piece.stock_id, f"it is {stands}, and hold {promised[0].pk} promises it.")


def _place(hold: Hold) -> Place:
    return Place(
        f"hold {hold.pk}",
        hold.state == Hold.State.ACTIVE,
        hold.hours + hold.extended_hours,
        hold.starts_at,
        hold.until,
    )


@check("one promise at an instant")
def one_promise(at: datetime) -> Iterator[Finding]:
    """At this instant a piece is promised to one person at most, by a hold or by a sale."""
    running = list(Hold.objects.filter(runs_at(at)).values_list("instrument__stock_id", flat=True))
    in_sale = list(Sale.objects.filter(ended_at__isnull=True).values_list("instrument__stock_id", flat=True))
    both = sorted([*running, *in_sale])
    for stock in sorted({stock for stock in both if both.count(stock) > 1}):
        yield of_piece(stock, "it is promised to more than one person now.")


@check("holds that have ended")
def overdue(at: datetime) -> Iterator[Finding]:
    """A hold whose end came more than an hour ago is entered in the books as ended: that is the worker's part."""
    late = holds_in_force().filter(state=Hold.State.ACTIVE, until__lte=at - BOOKS_LAG)
    for hold in late:
        yield of_piece(
            hold.instrument.stock_id,
            f"hold {hold.pk} has ended, and the books do not say so yet.",
            "Start the worker: it enters the end at its own instant. Nobody is promised it wrongly meanwhile.",
        )


@check("offers that were accepted")
def accepted(at: datetime) -> Iterator[Finding]:
    """An offer that was accepted has the hold that came of it, of the same person on the same piece."""
    ends = OfferEnd.objects.filter(how=OfferEnd.How.ACCEPTED).select_related(
        "hold", "offer__inquiry", "offer__instrument"
    )
    for end in ends:
        offer, hold = end.offer, end.hold
        if hold is None or (hold.instrument_id, hold.contact_id) != (
            offer.instrument_id,
            offer.inquiry.contact_id,
        ):
            yield of_piece(offer.instrument.stock_id, "an offer was accepted without a hold of its person.")
