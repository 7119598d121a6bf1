"""Note an offer, and end it: accepted with a hold in one step, declined, taken back, or replaced by another.

The instrument's row is the lock, as for everything promised of it; nothing of an offer is ever written to anybody.
"""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.models import Instrument
from inquiries.offers.models import Offer, OfferEnd
from inquiries.offers.queries import given, open_at
from inquiries.offers.rules import Stands, stands_at
from inquiries.people.models import Contact
from inquiries.sales.hold_actions import place_hold, settle
from inquiries.sales.hold_models import Hold
from inquiries.sales.prospects import Standing, standing_of
from inquiries.sales.reserve import check_reserve
from inquiries.sales.rules import place_in_queue
from inquiries.threads.models import Inquiry
from shop.history.actions import record
from shop.money import Money
from shop.refusal import Refused
from shop.staff.models import User
from shop.templatetags.trade import moment

How = OfferEnd.How
ALREADY = {
    How.ACCEPTED: "This offer was accepted already, on {when}. The hold stands on the page of the inquiry.",
    How.DECLINED: "This offer was declined on {when}. Note a new one if they would still give it.",
    How.TAKEN_BACK: "This offer was taken back on {when}. Note a new one if they would give it after all.",
    How.REPLACED: "Another offer of theirs took its place on {when}. Look at that one.",
}


@transaction.atomic
def make_offer(
    inquiry: Inquiry,
    *,
    amount: Decimal,
    trade_in: str = "",
    trade_in_value: Decimal | None = None,
    until: datetime | None = None,
    note: str = "",
    entry: str,
    by: User | None,
    at: datetime,
) -> Offer:
    """Note what a buyer would give for the piece of a thread, in its currency; the trade-in comes on top of `amount`.

    An open offer of the same person for the piece is replaced. A form sent twice is one offer.
    """
    if inquiry.instrument_id is None:
        raise Refused(
            "This thread is about none of our pieces, so nothing can be offered for one.", code="no-piece"
        )
    instrument = _locked(inquiry.instrument_id)
    if before := Offer.objects.filter(entry=entry).first():
        return before
    _not_sold(instrument, "nothing can be offered for it")
    if until is not None and until <= at:
        raise Refused("This time has gone by. Write one to come, or leave it empty.", code="gone-by")
    if not amount and not trade_in:
        raise Refused("Write an amount, or what would be traded in.", code="nothing-given")
    replaced = _open_of(inquiry, at=at)
    offer = Offer.objects.create(
        inquiry=inquiry,
        instrument=instrument,
        amount=amount,
        currency=instrument.currency,
        trade_in=trade_in,
        trade_in_value=trade_in_value if trade_in else None,
        asked=instrument.asking_price,
        until=until,
        note=note,
        at=at,
        by=by,
        entry=entry,
    )
    for other in replaced:
        _end(other, How.REPLACED, by=by, at=at)
    _record(offer, "offer made", by=by, at=at)
    return offer


@transaction.atomic
def accept(
    offer: Offer, *, behind: bool = False, below_reserve: str = "", by: User | None, at: datetime
) -> Hold:
    """Accept an offer, and hold the piece for its person in the same step; what else they offered is replaced.

    Where somebody else has the piece, they get the next place in the queue, and only if that is meant: Refused with
    the code “taken” unless `behind`. Below the reserve of a consigned piece it takes the owner, and a reason. Offers of
    other people stay open.
    """
    instrument = _locked(offer.instrument_id)
    _must_be_open(offer, at=at)
    _not_sold(instrument, "this offer cannot be accepted")
    inquiry = Inquiry.objects.select_related("contact").get(pk=offer.inquiry_id)
    settle(instrument, at=at)
    standing = standing_of(instrument, at=at)
    _not_bought_by(inquiry.contact, standing)
    if not behind and (who := in_the_way(standing, inquiry.contact)):
        raise Refused(f"{who} Press once more if that is meant.", code="taken")
    if offer.currency == instrument.currency:
        check_reserve(
            instrument, given(offer).whole, what="offer accepted", reason=below_reserve, by=by, at=at
        )
    hold = place_hold(instrument, inquiry, by=by, at=at)
    _end(offer, How.ACCEPTED, hold=hold, by=by, at=at)
    for other in _open_of(inquiry, at=at):
        _end(other, How.REPLACED, by=by, at=at)
    return hold


@transaction.atomic
def decline(offer: Offer, *, reason: str = "", by: User | None, at: datetime) -> None:
    """We do not take it."""
    _locked(offer.instrument_id)
    _must_be_open(offer, at=at)
    _end(offer, How.DECLINED, reason=reason, by=by, at=at)


@transaction.atomic
def take_back(offer: Offer, *, reason: str = "", by: User | None, at: datetime) -> None:
    """The buyer does not give it any more."""
    _locked(offer.instrument_id)
    _must_be_open(offer, at=at)
    _end(offer, How.TAKEN_BACK, reason=reason, by=by, at=at)


def in_the_way(standing: Standing, contact: Contact) -> str:
    """Who has the piece before `contact`, and what an acceptance would come to, as a sentence; empty when nobody."""
    first = standing.promised[0] if standing.promised else None
    if standing.sale:
        has = f"It is sold to {standing.sale.contact}, and the sale is not closed."
    elif first is not None and first.contact_id != contact.pk:
        has = f"{first.contact} has it on hold until {moment(first.until)}."
    else:
        return ""
    if standing.of(contact.pk):
        return f"{has} {contact} waits in the queue already, and would go on waiting."
    place = place_in_queue(len(standing.promised) + (1 if standing.sale else 0))
    return f"{has} {contact} would only be {place}."


def spoken(offer: Offer) -> str:
    """“$11,000 and a trade-in: a mandolin”, as it stands in the history."""
    words = str(Money(offer.amount, offer.currency))
    return f"{words} and a trade-in: {offer.trade_in}" if offer.trade_in else words


def _locked(instrument: int) -> Instrument:
    return Instrument.objects.select_for_update().get(pk=instrument)


def _not_sold(instrument: Instrument, so: str) -> None:
    if instrument.state == Instrument.State.SOLD:
        raise Refused(f"No. {instrument.stock_id} is sold already, so {so}.", code="sold")


def _not_bought_by(contact: Contact, standing: Standing) -> None:
    if standing.sale and standing.sale.contact_id == contact.pk:
        raise Refused(
            f"{contact} has bought it: the price stands in sale {standing.sale.number}.", code="in-a-sale"
        )


def _must_be_open(offer: Offer, *, at: datetime) -> None:
    """An end is asked for anew, since the one at hand may have been read before the lock."""
    if end := OfferEnd.objects.filter(offer=offer).first():
        raise Refused(ALREADY[How(end.how)].format(when=moment(end.at)), code=end.how)
    if stands_at(offer.until, at=at) == Stands.LAPSED:
        raise Refused(
            f"This offer was good until {moment(offer.until)} and has lapsed. Note a new one if it still stands.",
            code="lapsed",
        )


def _open_of(inquiry: Inquiry, *, at: datetime) -> list[Offer]:
    """Every open offer of the person of a thread for its piece, in whichever of their threads."""
    same = Offer.objects.filter(inquiry__contact=inquiry.contact_id, instrument=inquiry.instrument_id)
    return list(same.filter(open_at(at), end__isnull=True))


def _end(
    offer: Offer, how: How, *, hold: Hold | None = None, reason: str = "", by: User | None, at: datetime
) -> None:
    """An offer ends once: the database has one end for each, and the lock keeps two presses in line."""
    OfferEnd.objects.create(offer=offer, how=how, hold=hold, reason=reason, at=at, by=by)
    _record(offer, f"offer {how.label.lower()}", by=by, at=at)


def _record(offer: Offer, verb: str, *, by: User | None, at: datetime) -> None:
    """In the thread whole; at the piece as the amount alone, without a person."""
    record(offer.inquiry, verb, by=by, at=at, new=spoken(offer))
    record(offer.instrument, verb, by=by, at=at, new=str(Money(offer.amount, offer.currency)))
