"""The letters of a hold, drafted from it: read and changed by the dealer before they go."""

from datetime import datetime
from zoneinfo import ZoneInfo

from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.promises import balance_due
from inquiries.sales.rules import place_in_queue
from inquiries.wants.letters import signed
from shop.profile.models import ShopProfile
from shop.wording import in_own, moment_in_zone

What = HoldNotice.What


def letter(hold: Hold, what: HoldNotice.What, shop: ShopProfile, *, place: int = 0) -> str:
    """The whole letter. `place` is where its person stands in the queue, nought for the one who has it."""
    with in_own():
        said = sentences(hold, what, shop.zone, place=place)
        return f"Dear {hold.contact.name},\n\n{said}\n\n{signed(shop)}"


def sentences(hold: Hold, what: HoldNotice.What, zone: ZoneInfo, *, place: int = 0) -> str:
    """What they are told, by the clock of the shop, whose time is named."""
    piece = f"our no. {hold.instrument.stock_id}, {hold.instrument.name}"
    start, until = _when(hold.starts_at, zone), _when(hold.until, zone)
    if what == What.ENDED:
        return f"The hold on {piece} has ended, {_when(hold.ended_at or hold.until, zone)}."
    if what == What.ENDING:
        return f"The hold on {piece} ends {until}. {_then(hold, zone)}"
    if place:
        where = f"You are {place_in_queue(place)} for {piece}."
        if not until:
            return f"{where} It is being bought at this moment; should that sale fall through, we tell you."
        return (
            f"{where} As it stands now, it would be yours from {start} until {until}, and sooner should "
            "somebody before you step back. We tell you when it is your turn."
        )
    if what == What.MOVED_UP:
        return f"It is your turn: {piece}, is on hold for you until {until}. {_then(hold, zone)}"
    if what == What.EXTENDED:
        return f"We hold {piece}, for you longer than we said: until {until}. {_then(hold, zone)}"
    return f"{piece[:1].upper()}{piece[1:]}, is on hold for you until {until}. {_then(hold, zone)}"


def _then(hold: Hold, zone: ZoneInfo) -> str:
    if hold.condition == Hold.Condition.DEPOSIT:
        due = _when(balance_due(hold.starts_at, hold.balance_hours), zone)
        return (
            "The deposit is due by then. With it the piece is yours to pay for, and the balance is due "
            f"by {due}; without it the hold ends by itself at that time."
        )
    return "After that the hold ends by itself. A word by mail or telephone is enough."


def _when(instant: datetime | None, zone: ZoneInfo) -> str:
    return moment_in_zone(instant.astimezone(zone)) if instant else ""
