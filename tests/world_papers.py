"""Papers in the small shop of tests/world.py: a quotation, an invoice in two versions, a consignor’s statement."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from inquiries.models import Inquiry, IssuedPaper, Sale
from inquiries.papers.issuing import issue_paper
from shop.models import User
from tests.factories import NOON

FAR = (NOON + timedelta(days=30)).date()


def issue(inquiry: Inquiry, sale: Sale, owner: User) -> None:
    """Everything on them is drawn from the rows of the world, whatever these hold."""
    given: dict[str, Any] = {"price": Decimal(12000), "shipping": Decimal(150), "until": FAR, "word": "x"}
    issue_paper("quotation", inquiry, entry=f"q{inquiry.pk}", given=given, by=owner, at=NOON)
    issue_paper("invoice", sale, entry=f"i{sale.pk}", by=owner, at=NOON)
    issue_paper("invoice", sale, entry=f"j{sale.pk}", cancels=1, reason="x", by=owner, at=NOON)
    issue_paper("statement", sale, entry=f"s{sale.pk}", by=owner, at=NOON)


def paper_samples(sale: Sale) -> dict[str, Any]:
    """The numbers that the addresses of papers name."""
    return {
        "paper-make:kind": "invoice",
        "version": 1,
        "issued-paper:issued": IssuedPaper.objects.get(sale=sale, kind="invoice", version=1).number,
        "issued-statement:issued": IssuedPaper.objects.get(sale=sale, kind="statement").number,
    }
