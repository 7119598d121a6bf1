"""The invented year: every event is the deed that a dealer's press would have run, at its own instant."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import F, Max

from catalog.models import Instrument
from demo_fixtures.cartons import photographs
from demo_fixtures.clock import Clock
from demo_fixtures.dealings import agree_on_instalments, make_paper, take_trade
from demo_fixtures.telling import Event, Year
from inquiries.desk.actions import Caller, note_call
from inquiries.models import (
    Contact,
    Hold,
    Inquiry,
    Inspection,
    InspectionLine,
    Message,
    Offer,
    ReturnCall,
    Sale,
    Shipment,
)
from inquiries.offers.actions import decline, make_offer
from inquiries.people.places import envelope
from inquiries.returns.actions import announce, inspect
from inquiries.returns.compared import to_compare
from inquiries.sales.actions import (
    close_sale,
    deliver,
    end_without_sale,
    mark_cleared,
    open_sale,
    pay_consignor,
    record_payment,
    refund,
    share_due,
    ship,
)
from inquiries.sales.clearing import note_step
from inquiries.sales.hold_actions import extend_hold, place_hold, release_hold, settle
from inquiries.sales.money_rules import Quoted
from inquiries.sales.telling import span_said
from inquiries.sales.telling_actions import note_told
from inquiries.shipping.parcel_actions import keep_picture
from inquiries.shipping.zones import proposed_zone
from inquiries.threads.actions import add_message, answer, lay_aside, receive_question
from inquiries.threads.turn_actions import follow_up, needs_no_answer
from shop.models import User
from shop.profile.queries import the_shop
from shop.units import parse_length, parse_mass

UNPICTURED = "The old camera was at the mender"
QUIET = timedelta(days=14)  # a thread in which nothing was said for so long is laid aside


def load_year(year: Event, *, owner: User, helper: User, clock: Clock) -> None:
    """Tell the events in their order, then let what has lapsed end, and the mail go out."""
    people = {person["key"]: person for person in year["people"]}
    telling = Year(owner, helper, people)
    events = sorted(year["events"], key=lambda event: -event["days_ago"] * 24 + event.get("hour", 11))
    for number, event in enumerate(events):
        telling.told = number
        DEEDS[event["type"]](telling, event, clock.at(event["days_ago"], event.get("hour", 11)))
    _lay_quiet_threads_aside(telling, clock.now)
    for instrument in Instrument.objects.filter(holds__state=Hold.State.ACTIVE):
        settle(instrument, at=clock.now)
    let_mail_go()


def _ask(year: Year, event: Event, at: datetime) -> None:
    _lay_quiet_threads_aside(year, at)
    person = year.people[event["person"]]
    instrument = Instrument.objects.get(stock=int(event["stock"]))
    inquiry = receive_question(
        instrument,
        name=person["name"],
        email=person["email"],
        telephone=person.get("telephone", ""),
        text=event["text"],
        at=at,
    )
    Contact.objects.filter(pk=inquiry.contact_id).update(
        address="\n".join(person.get("address", [])), country=person.get("country", "")
    )
    year.inquiries[event["key"]] = inquiry


def _further(year: Year, event: Event, at: datetime) -> None:
    add_message(year.inquiry(event), event["text"], ours=False, channel=Message.Channel.MAIL, by=None, at=at)


def _caller(year: Year, event: Event, at: datetime) -> None:
    """Somebody known calls about a matter that is none of our pieces."""
    person = year.people[event["person"]]
    year.inquiries[event["key"]] = note_call(
        None,
        event["matter"],
        Caller(person["name"], person["email"], person.get("telephone", "")),
        event["text"],
        channel=event["channel"],
        entry=f"{year.told:032x}",
        by=year.helper,
        at=at,
    )


def _no_answer(year: Year, event: Event, at: datetime) -> None:
    last = year.inquiry(event).messages.filter(ours=False).latest("at", "pk")
    needs_no_answer(last, by=year.owner, at=at)


def _follow_up(year: Year, event: Event, at: datetime) -> None:
    day = at.date() + timedelta(days=event["days_on"])
    follow_up(year.inquiry(event), day, event["note"], today=at.date(), by=year.owner, at=at)


def _offer(year: Year, event: Event, at: datetime) -> None:
    value = event.get("trade_in_value")
    make_offer(
        year.inquiry(event),
        amount=Decimal(event["amount"]),
        trade_in=event.get("trade_in", ""),
        trade_in_value=None if value is None else Decimal(value),
        until=at + timedelta(days=event["days_on"]),
        note=event.get("note", ""),
        entry=f"{year.told:032x}",
        by=year.helper,
        at=at,
    )


def _decline(year: Year, event: Event, at: datetime) -> None:
    offer = Offer.objects.filter(inquiry=year.inquiry(event)).latest("at", "pk")
    decline(offer, reason=event["reason"], by=year.owner, at=at)


def _note(year: Year, event: Event, at: datetime) -> None:
    add_message(
        year.inquiry(event), event["text"], ours=False, channel=event["channel"], by=year.helper, at=at
    )


def _reply(year: Year, event: Event, at: datetime) -> None:
    answer(year.inquiry(event), event["text"], by=year.owner, at=at)


def _hold(year: Year, event: Event, at: datetime) -> None:
    inquiry = year.inquiry(event)
    piece = Instrument.objects.get(inquiries=inquiry)
    days = event.get("balance_days")
    balance_hours = None if days is None else days * 24
    place_hold(piece, inquiry, by=year.helper, at=at, hours=event.get("hours"), balance_hours=balance_hours)


def _standing_hold(year: Year, event: Event) -> Hold:
    return Hold.objects.filter(inquiry=year.inquiry(event)).latest("asked_at", "pk")


def _longer(year: Year, event: Event, at: datetime) -> None:
    extend_hold(_standing_hold(year, event), hours=event["hours"], by=year.owner, at=at)


def _told(year: Year, event: Event, at: datetime) -> None:
    """Somebody was told of their hold by telephone."""
    hold = _standing_hold(year, event)
    note_told(
        hold,
        event["what"],
        channel=Message.Channel.TELEPHONE,
        note=event.get("text", ""),
        span=span_said(hold),
        entry=f"{year.told:032x}",
        by=year.helper,
        at=at,
    )


def _release(year: Year, event: Event, at: datetime) -> None:
    said = {name: event[name] for name in ("reason", "given_up") if name in event}
    release_hold(_standing_hold(year, event), by=year.owner, at=at, **said)


def _deposit(year: Year, event: Event, at: datetime) -> None:
    open_sale(
        _standing_hold(year, event),
        price=Decimal(str(event["price"])),
        shipping=Decimal(str(event.get("shipping", 0))),
        money=year.money(event),
        by=year.owner,
        at=at,
    )


def _payment(year: Year, event: Event, at: datetime) -> None:
    money = year.money(event)
    if other := event.get("other"):
        day = at.astimezone(the_shop().zone).date()
        amount, rate = Decimal(other["amount"]), Decimal(other["rate"])
        money = replace(money, quoted=Quoted(amount, other["currency"], rate, day, other["source"]))
    record_payment(year.sale(event), money, by=year.owner, at=at)


def _cleared(year: Year, event: Event, at: datetime) -> None:
    booked = Decimal(event["booked"]) if "booked" in event else None
    mark_cleared(year.money_in(event), by=year.owner, at=at, booked=booked)


def _bank(year: Year, event: Event, at: datetime) -> None:
    """The bank took a check in, or shows it as credited."""
    day = at.astimezone(the_shop().zone).date()
    note_step(year.money_in(event), event["step"], on=day, note="", by=year.helper, at=at)


def _returned(year: Year, event: Event, at: datetime) -> None:
    """The buyer says no inside the approval period; the piece is on its way back."""
    year.returns[event["inquiry"]] = event["reason"]
    said = Message.Channel.TELEPHONE
    add_message(year.inquiry(event), event["reason"], ours=False, channel=said, by=year.owner, at=at)


def _refund(year: Year, event: Event, at: datetime) -> None:
    """Money goes back: the end of a sale when the piece came back, a part of the price otherwise."""
    money, reason = year.money(event), year.returns.get(event["inquiry"])
    if reason is None:
        refund(year.sale(event), money, by=year.owner, at=at)
    else:
        _looked_at(year, event, reason, at)
        end_without_sale(year.sale(event), reason=reason, money=money, by=year.owner, at=at)


def _looked_at(year: Year, event: Event, reason: str, at: datetime) -> None:
    """It came back as it was sent, compared with the whole record."""
    sale = year.sale(event)
    announce(
        ReturnCall(sale=sale, said_at=sale.shipment.delivery.at + timedelta(hours=20), why=reason),
        by=year.owner,
        at=at,
    )
    alike = [InspectionLine(what=one.what, recorded=one.recorded, alike=True) for one in to_compare(sale)]
    inspect(Inspection(sale=sale, came_at=at), alike, by=year.owner, at=at)


def _pack(year: Year, event: Event, at: datetime) -> None:
    """The photographs of a carton are taken before it is sealed."""
    for caption, file in photographs(event["inquiry"]):
        keep_picture(year.sale(event), file, caption=caption, by=year.helper, at=at)


def _ship(year: Year, event: Event, at: datetime) -> None:
    sale = year.sale(event)
    buyer, home = sale.contact, the_shop().country
    to = [buyer.name, *envelope(buyer.address, buyer.country, at=home)]
    sides = [parse_length(f"{side} in") for side in event.get("carton_in", ())]
    length, width, height = (side.amount for side in sides) if sides else (None, None, None)
    weight = parse_mass(event["weight"]).stored if event.get("weight") else (None, "")
    parcel = Shipment(
        carrier=event.get("carrier", ""),
        service=event.get("service", ""),
        tracking=event.get("tracking", ""),
        carton_length=length,
        carton_width=width,
        carton_height=height,
        carton_unit=sides[0].unit if sides else "",
        weight_amount=weight[0],
        weight_unit=weight[1],
        declared_value=Decimal(event["declared"]) if "declared" in event else None,
        address="\n".join(to),
        country=buyer.country,
        signature=Shipment.Signature.BUYER,
        unpictured_reason="" if sale.parcel_pictures.exists() else UNPICTURED,
    )
    ship(sale, parcel, by=year.helper, at=at)


def _delivered(year: Year, event: Event, at: datetime) -> None:
    sale = year.sale(event)
    sent = sale.shipment
    zone = proposed_zone(sent.country, sent.address, shop=the_shop().time_zone)
    note, signed = event.get("note", ""), event.get("signed", sale.contact.name)
    deliver(sale, delivered_at=at, zone=zone, signed_by=signed, note=note, by=year.helper, at=at)


def _close(year: Year, event: Event, at: datetime) -> None:
    sale = year.sale(event)
    close_sale(sale, by=year.owner, at=at)
    if event.get("pay_consignor") and share_due(sale):
        pay_consignor(sale, method="wire", by=year.owner, at=at)


DEEDS: dict[str, Callable[[Year, Event, datetime], None]] = {
    "inquiry": _ask,
    "further": _further,
    "note": _note,
    "caller": _caller,
    "no-answer": _no_answer,
    "follow-up": _follow_up,
    "offer": _offer,
    "decline": _decline,
    "reply": _reply,
    "hold": _hold,
    "longer": _longer,
    "told": _told,
    "release": _release,
    "deposit": _deposit,
    "payment": _payment,
    "trade": take_trade,
    "instalments": agree_on_instalments,
    "cleared": _cleared,
    "bank": _bank,
    "refund": _refund,
    "pack": _pack,
    "ship": _ship,
    "delivered": _delivered,
    "close": _close,
    "returned": _returned,
    "paper": make_paper,
}


def _lay_quiet_threads_aside(year: Year, at: datetime) -> None:
    """As a dealer clears the desk; a thread with a hold or an open sale stays."""
    quiet = (
        Inquiry.objects.filter(done_at__isnull=True)
        .exclude(holds__state__in=[Hold.State.ACTIVE, Hold.State.QUEUED])
        .exclude(pk__in=Sale.objects.filter(ended_at__isnull=True).values("inquiry"))
        .annotate(last=Max("messages__at"))
    )
    for inquiry in quiet:
        if inquiry.last + QUIET < at:
            lay_aside(inquiry, by=year.owner, at=inquiry.last + QUIET)


def let_mail_go() -> None:
    """Mail that waits went out at its own instant."""
    waiting = Message.objects.filter(delivery=Message.Delivery.WAITING)
    waiting.update(delivery=Message.Delivery.SENT, sent_at=F("at"))
