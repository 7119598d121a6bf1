"""The stock book and the numbers that run on without a gap."""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime

from django.db.models import Q

from catalog.instruments.actions import FIRST_STOCK_NUMBER
from catalog.models import StockNumber
from inquiries.audit.checks import check
from inquiries.audit.hold_checks import of_piece
from inquiries.audit.rules import Finding, missing_numbers
from inquiries.audit.sale_checks import NOT_BY_A_DEED, of_sale
from inquiries.sales.ledger_models import Posting
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import TAX, from_minor
from inquiries.stockbook.proof import proved
from inquiries.stockbook.queries import book
from shop.money import Money
from shop.numbers.models import Series
from shop.profile.queries import the_shop

LATER = (
    "What was booked when the sale closed stands. Take back what was written down by mistake since, or ask your "
    "adviser how the tax is put right."
)
YEAR = re.compile(r"^(\d{4})-(\d+)$")


@check("the stock book")
def stock_book(at: datetime) -> Iterator[Finding]:
    """Every number given has its piece, every closed sale its line, and no piece is missing in the book."""
    for number in StockNumber.objects.filter(instrument__isnull=True).order_by("number"):
        what = "the number was given, and no piece bears it."
        yield Finding(f"No. {number.number}", what, NOT_BY_A_DEED)
    bought, consigned, unnamed = book(the_shop())
    items = [line.item for line in [*bought, *consigned]] + unnamed
    sold = {item.sold.number for item in items if item.sold}
    for sale in Sale.objects.filter(outcome=Sale.Outcome.CLOSED).exclude(number__in=sold):
        yield of_sale(sale, "it has closed, and no line of the stock book has it.")
    for item in unnamed:
        if item.sold:
            yield of_piece(
                item.stock,
                "it was sold, and the record does not say from whom it came.",
                "Enter its seller under “Costs and seller”: the stock book needs the name.",
            )


@check("the stock book, by the database")
def stock_book_by_sql(at: datetime) -> Iterator[Finding]:
    """Purchase, selling price, margin and tax of each sold piece, in Python, are those of the database."""
    shop = the_shop()
    bought, _, _ = book(shop)
    reckoned = {
        line.item.stock: (line.purchase, line.selling, line.margin, line.vat)
        for line in bought
        if line.item.sold
    }
    told = {row.stock: (row.purchase, row.selling, row.margin, row.vat) for row in proved(shop)}
    for stock in sorted(reckoned.keys() | told.keys()):
        if reckoned.get(stock) != told.get(stock):
            one, other = _shown(reckoned.get(stock)), _shown(told.get(stock))
            yield of_piece(stock, f"its line comes to {one} in Python and to {other} by the database.")


@check("the tax on the margins")
def margins(at: datetime) -> Iterator[Finding]:
    """The tax on each margin, as the stock book has it, is what the accounts took out of the price at the closing."""
    posted: dict[str, int] = defaultdict(int)
    inside = Posting.objects.filter(Q(debit=TAX) | Q(credit=TAX), row__isnull=True)
    for number, credit, minor in inside.values_list("sale__number", "credit", "minor"):
        posted[number] += minor if credit == TAX else -minor
    bought, _, _ = book(the_shop())
    for line in bought:
        sold = line.item.sold
        if sold is None or line.vat is None:
            continue
        told = Money(line.vat, sold.currency)
        booked = Money(from_minor(posted[sold.number], sold.currency), sold.currency)
        if told != booked:
            yield of_piece(
                line.item.stock, f"the tax on its margin is {told}, and {booked} was booked.", LATER
            )


def _shown(figures: Iterable[object] | None) -> str:
    return "nothing" if figures is None else " / ".join("–" if one is None else str(one) for one in figures)


@check("numbers without a gap")
def numbers(at: datetime) -> Iterator[Finding]:
    """Stock numbers and sales: each number up to the last one given is there, and none beyond it."""
    given: dict[str, list[int]] = defaultdict(list)
    given["stock"] = list(StockNumber.objects.values_list("number", flat=True))
    for number in Sale.objects.values_list("number", flat=True):
        if found := YEAR.match(number):
            given[f"sale {found[1]}"].append(int(found[2]))
    last = dict(Series.objects.values_list("name", "last"))
    for name in sorted(given.keys() | {name for name in last if name.startswith(("sale ", "stock"))}):
        yield from _gaps(name, given[name], last.get(name, 0))


def _gaps(name: str, given: list[int], last: int) -> Iterator[Finding]:
    first = FIRST_STOCK_NUMBER if name == "stock" else 1
    where = f"Numbers, {name}"
    if missing := missing_numbers(given, first=first, last=last):
        yield Finding(
            where, f"{', '.join(map(str, missing))} is missing of those up to {last}.", NOT_BY_A_DEED
        )
    # A stock number may have been taken over from older books.
    if name != "stock" and (beyond := sorted(number for number in given if number > last)):
        yield Finding(
            where, f"{', '.join(map(str, beyond))} is beyond the last one given, {last}.", NOT_BY_A_DEED
        )
