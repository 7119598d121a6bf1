"""What the page of a sale shows of its tax: what the rules give, and what of it is booked."""

from dataclasses import dataclass
from datetime import date, datetime

from inquiries.sales.models import Sale
from inquiries.tax.booking import Lacking, lacking
from inquiries.tax.models import TaxPolicy, TaxRate
from inquiries.tax.queries import tax_on
from inquiries.tax.rules import Reckoned, Scheme
from shop.profile.queries import the_shop
from shop.staff.models import User


@dataclass(frozen=True)
class Panel:
    """The policy and the rates as rows, and what they give. `reckoned` is None for who may not see a purchase price."""

    policy: TaxPolicy
    day: date
    settled: bool
    rates: list[TaxRate]
    percent: str
    reckoned: Reckoned | None
    lacking: Lacking | None


def tax_panel(sale: Sale, *, user: User, at: datetime) -> Panel | None:
    """What the shop's rules give for a sale; None while the shop has no policy on its day."""
    found = tax_on(sale, the_shop(), at=at)
    if found is None:
        return None
    asked, policy, reckoned = found
    private = policy.scheme == Scheme.MARGIN and not user.is_owner
    return Panel(
        policy=TaxPolicy.objects.get(pk=policy.key),
        day=asked.day,
        settled=sale.ended_at is not None,
        rates=list(TaxRate.objects.filter(pk__in=[rate.key for rate in reckoned.rates])),
        percent=f"{reckoned.percent.normalize():f}",
        reckoned=None if private else reckoned,
        lacking=lacking(sale, at=at) if sale.ended_at is None else None,
    )
