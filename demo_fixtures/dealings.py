"""What stands beside the money of the invented year: a piece taken in trade, a plan of instalments, papers."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from catalog.models import Kind
from demo_fixtures.telling import Event, Year
from inquiries.credit.actions import Traded, take_in_trade
from inquiries.instalments.actions import agree
from inquiries.instalments.rules import Due
from inquiries.models import IssuedPaper
from inquiries.papers.issuing import issue_paper
from inquiries.sales.posting_rules import in_minor
from shop.profile.queries import the_shop


def take_trade(year: Year, event: Event, at: datetime) -> None:
    """The buyer gives a piece in part payment, and its record is opened."""
    kind, value = Kind.objects.get(slug=event["kind"]), Decimal(event["value"])
    traded = Traded(kind, event["what"], value, year.entry)
    take_in_trade(year.sale(event), traded, by=year.owner, at=at)


def agree_on_instalments(year: Year, event: Event, at: datetime) -> None:
    """What is left is paid in parts: so much in so many days."""
    sale, day = year.sale(event), _day(at)
    dues = [
        Due(day + timedelta(days=days), in_minor(Decimal(amount), sale.currency))
        for days, amount in event["dues"]
    ]
    agree(sale, dues, note=event["note"], entry=year.entry, by=year.owner, at=at)


def make_paper(year: Year, event: Event, at: datetime) -> None:
    """A paper of a sale, or of a thread: a quotation."""
    of_thread = event["kind"] == IssuedPaper.Kind.QUOTATION
    about = year.inquiry(event) if of_thread else year.sale(event)
    given = _quoted(event, at) if of_thread else event.get("given", {})
    issue_paper(event["kind"], about, entry=year.entry, given=given, by=year.owner, at=at)


def _quoted(event: Event, at: datetime) -> dict[str, Any]:
    return {
        "price": Decimal(event["price"]),
        "shipping": Decimal(event["shipping"]),
        "until": _day(at) + timedelta(days=event["days_on"]),
        "word": event["word"],
    }


def _day(at: datetime) -> date:
    return at.astimezone(the_shop().zone).date()
