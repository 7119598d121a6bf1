"""What the page of a sale shows of its tax: what the rules give, and what of it is booked."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from inquiries.sales.ledger_models import Posting
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import TAX, from_minor
from inquiries.tax.booking import Lacking, lacking
from inquiries.tax.models import TaxPolicy, TaxRate
from inquiries.tax.queries import tax_on
from inquiries.tax.rules import Reckoned, Scheme
from shop.money import Money, total
from shop.profile.queries import the_shop
from shop.staff.models import User


@dataclass(frozen=True)
class Booked:
    """Tax that the double entry says became owed, or below nought no longer is, and by what."""

    at: datetime
    amount: Money
    cause: str


@dataclass(frozen=True)
class Panel:
    """The policy and the rates as rows, and what they give. `reckoned` is None for who may not see a purchase price.

    `booked` is each movement of the account of tax; `differs` is what the rules give for a closed sale where that is
    another amount than was booked, since something was written down later.
    """

    policy: TaxPolicy
    day: date
    settled: bool
    rates: list[TaxRate]
    percent: str
    reckoned: Reckoned | None
    lacking: Lacking | None
    booked: list[Booked]
    differs: Money | None


def tax_panel(sale: Sale, *, user: User, at: datetime) -> Panel | None:
    """What the shop's rules give for a sale; None while the shop has no policy on its day."""
    found = tax_on(sale, the_shop(), at=at)
    if found is None:
        return None
    asked, policy, reckoned = found
    # A piece outside the scheme is taxed on its price, which everybody at the desk sees.
    private = reckoned.scheme == Scheme.MARGIN and not user.is_owner
    booked = [] if private else booked_of(sale)
    return Panel(
        policy=TaxPolicy.objects.get(pk=policy.key),
        day=asked.day,
        settled=sale.ended_at is not None,
        rates=list(TaxRate.objects.filter(pk__in=[rate.key for rate in reckoned.rates])),
        percent=f"{reckoned.percent.normalize():f}",
        reckoned=None if private else reckoned,
        lacking=lacking(sale, at=at) if sale.ended_at is None else None,
        booked=booked,
        differs=None if private else _differs(sale, reckoned, booked),
    )


def booked_of(sale: Sale) -> list[Booked]:
    """Each movement of the account of tax, in the order of time."""
    touching = sale.postings.filter(Q(debit=TAX) | Q(credit=TAX)).select_related("row__reverses")
    return [_booked(posting) for posting in touching.order_by("at", "pk")]


def _booked(posting: Posting) -> Booked:
    minor = posting.minor if posting.credit == TAX else -posting.minor
    amount = Money(from_minor(minor, posting.currency), posting.currency)
    row = posting.row
    if row is None:
        return Booked(posting.at, amount, "taken out of the price when the sale closed")
    return Booked(posting.at, amount, "reversed" if row.reverses else "charged to the buyer")


def _differs(sale: Sale, reckoned: Reckoned, booked: list[Booked]) -> Money | None:
    if sale.outcome != Sale.Outcome.CLOSED or reckoned.tax is None:
        return None
    now = Money(reckoned.tax, sale.currency)
    return None if now == total((one.amount for one in booked), sale.currency) else now
