"""What stands on every paper of a sale: whose it is, for whom, of which piece; and sums of a ledger in words."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from catalog.public.shown.listing import Listing
from inquiries.papers.models import IssuedPaper
from inquiries.people.models import Contact
from inquiries.people.places import envelope
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import charged, paid
from inquiries.threads.models import Inquiry
from shop.money import Money
from shop.profile.models import ShopProfile
from shop.refusal import Refused

Content = dict[str, Any]
Row = list[str]

# Where papers are printed on letter size; everywhere else on A4. Source: Unicode CLDR, supplemental data, paper sizes
# (from memory).
LETTER = frozenset({"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"})


@dataclass(frozen=True, kw_only=True)
class Frame:
    """Whose paper it is, for whom, of which piece, and when."""

    instrument: Any
    contact: Contact
    shop: ShopProfile
    at: datetime

    @property
    def today(self) -> date:
        """The day on the shop's clock."""
        return self.at.astimezone(self.shop.zone).date()


@dataclass(frozen=True, kw_only=True)
class Matter(Frame):
    """What a paper is made from: the listing, the sale with its rows or the thread, and what was typed beside them."""

    listing: Listing
    sale: Sale | None = None
    inquiry: Inquiry | None = None
    given: dict[str, Any] = field(default_factory=dict)
    cancels: IssuedPaper | None = None

    @property
    def sold(self) -> Sale:
        """The sale, for the papers that are of one."""
        if self.sale is None:
            raise Refused("This paper is of a sale, and there is none yet.", code="no-sale")
        return self.sale


def sheet_of(country: str) -> str:
    """The size of paper in a country."""
    return "us-letter" if country.upper() in LETTER else "a4"


def spoken_day(day: date) -> str:
    """10 June 2026."""
    return f"{day:%-d %B %Y}"


def day_at(at: datetime, shop: ShopProfile) -> str:
    """The day of an instant on the shop's clock."""
    return spoken_day(at.astimezone(shop.zone).date())


def moment_at(at: datetime, shop: ShopProfile) -> str:
    """Day and hour of an instant on the shop's clock, which is named."""
    return f"{at.astimezone(shop.zone):%-d %B %Y, %H:%M} ({shop.clock})"


def framed(kind: str, number: str, version: int, replaces: str, *, sale: str, matter: Frame) -> Content:
    """Head and foot of a paper."""
    shop, today = matter.shop, matter.today
    foot = f"{kind} {number}, version {version}" if version > 1 else f"{kind} {number}"
    meta = [f"No. {number}", f"Version {version}" if version > 1 else "", f"Sale {sale}" if sale else ""]
    return {
        "kind": kind,
        "number": number,
        "version": version,
        "replaces": replaces,
        "document": foot,
        "foot": foot,
        "meta": [*filter(None, meta), spoken_day(today)],
        "day": [today.year, today.month, today.day],
        "sheet": sheet_of(shop.country),
        "shop": {
            "name": shop.name,
            "address": shop.address,
            "telephone": shop.telephone,
            "email": shop.email,
            "tax_number": shop.tax_number,
        },
    }


def addressed(label: str, matter: Frame) -> Content:
    """Whom it is for, as on an envelope."""
    contact = matter.contact
    lines = envelope(contact.address, contact.country, at=matter.shop.country)
    return {"label": label, "name": contact.name, "address": "\n".join(lines)}


def piece(label: str, matter: Matter, *, numbers: bool = True) -> Content:
    """The instrument by its stock number, its title and the numbers found on it."""
    facts = numbers_of(matter) if numbers else []
    return {
        "label": label,
        "name": f"No. {matter.instrument.stock_id}: {matter.listing.title}",
        "facts": facts,
    }


def numbers_of(matter: Frame) -> list[str]:
    """Every number found on it, with how well it can be read."""
    return [_number(row) for row in matter.instrument.numbers.all()]


def _number(row: Any) -> str:
    clear = row.legibility == row.Legibility.CLEAR
    return str(row) if clear else f"{row} ({row.get_legibility_display().lower()})"


def told_of_originality(matter: Matter) -> Content:
    """The word on the whole, how much was examined, the exceptions, and the guarantee with what it leaves out."""
    found, guarantee = matter.listing.originality, matter.shop.guarantee
    exceptions = list(found.exceptions)
    none = "" if exceptions or not found.examined else "None: each part that was examined is as it was made."
    examined = f"{found.examined} of {found.parts} parts examined." if found.parts else ""
    leaves_out = list(matter.listing.guarantee_leaves_out) if guarantee else []
    return {
        "says": found.says,
        "examined": f"{found.meaning} {examined}".strip() if found.examined else "No part was examined.",
        "exceptions": exceptions,
        "no_exceptions": none,
        "guarantee": f"{guarantee}\nIt does not cover:" if leaves_out else guarantee,
        "leaves_out": leaves_out,
    }


def money(amount: Decimal, currency: str) -> str:
    """An amount in words of the trade."""
    return str(Money(amount, currency))


def standing(rows: Iterable[LedgerRow]) -> list[LedgerRow]:
    """The rows that were not undone, without those that undo."""
    return [row for row in rows if row.kind != row.Kind.REVERSAL and not hasattr(row, "reversed_by")]


def note_of(row: LedgerRow) -> str:
    """What a paper for the buyer may say of a row: of a fee that was kept it is the shop's own reason, and stays so."""
    return "" if row.kind in {row.Kind.RESTOCKING, row.Kind.REVERSAL} else row.note


def account(rows: list[LedgerRow], currency: str) -> list[Row]:
    """What was charged, what was received, and the balance, at the foot of a paper."""
    owed = charged(rows) - paid(rows)
    name = "Balance to be paid" if owed > 0 else "To be paid back" if owed < 0 else "Balance"
    return [
        ["Charged", money(charged(rows), currency)],
        ["Received", money(paid(rows), currency)],
        [name, money(abs(owed), currency)],
    ]


def price_line(matter: Matter, amount: Decimal, currency: str) -> Row:
    """The piece itself as a line of a table."""
    return [
        f"{matter.listing.kind}: {matter.listing.title}",
        f"No. {matter.instrument.stock_id}",
        money(amount, currency),
    ]
