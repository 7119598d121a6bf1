"""The tax that a month and its quarter came to: the owner's page under the month."""

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from inquiries.desk.month_views import wanted_month
from inquiries.review.tax_owed import TaxOwed, tax_owed
from shop.money import Money
from shop.months import Month
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, owner_only


@dataclass(frozen=True)
class Span:
    """A month or a quarter with its tax, and the sums as they are read."""

    slug: str
    name: str
    owed: TaxOwed

    @property
    def sums(self) -> list[Money]:
        """The tax owed, by currency."""
        return [Money(amount, currency) for currency, amount in self.owed.sums.items()]

    @property
    def by_accounts(self) -> list[Money]:
        """The same by the double entry."""
        return [Money(amount, currency) for currency, amount in self.owed.by_accounts.items()]


@require_safe
@owner_only
def month_tax(request: DeskRequest, month: str) -> HttpResponse:
    """What is owed of the sales that closed in the month, and in the calendar quarter that it lies in."""
    shop, at = the_shop(), timezone.now()
    wanted = wanted_month(month, shop, at)
    first = wanted.later(-((wanted.number - 1) % 3))
    spans = [_span("month", wanted.name, wanted, wanted, shop)]
    spans.append(_span("quarter", quarter_name(first), first, first.later(2), shop))
    return render(
        request, "desk/month/tax.html", {"month": wanted, "spans": spans, "runs": _runs(first, shop, at)}
    )


def quarter_name(first: Month) -> str:
    """April to June 2026."""
    last = first.later(2)
    return f"{first.name.split()[0]} to {last.name}"


def _runs(first: Month, shop: ShopProfile, at: datetime) -> bool:
    return at < first.later(2).span(shop.zone)[1]


def _span(slug: str, name: str, first: Month, last: Month, shop: ShopProfile) -> Span:
    return Span(slug, name, tax_owed(first.span(shop.zone)[0], last.span(shop.zone)[1], shop))
