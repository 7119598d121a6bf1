"""The stock book, for the owner: a page, and a file for a spreadsheet."""

import csv
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from inquiries.review.rules import guarded
from inquiries.stockbook.queries import book
from inquiries.stockbook.rules import Item, Line, in_stock
from shop.money import Money
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, owner_only

HEADS = ["Stock number", "Date of purchase", "Purchase invoice", "Note on the purchase",
         "Purchase price", "Seller", "Description",
         "Date of sale", "Sale", "Selling price or how disposed of", "Buyer", "Margin", "Rate, per cent", "VAT due",
         "Currency", "Remark"]  # fmt: skip


@require_safe
@owner_only
def stock_book(request: DeskRequest) -> HttpResponse:
    """Every piece bought, with its sale, margin and tax; consigned pieces apart."""
    bought, consigned, unnamed = book(the_shop())
    here = in_stock(bought)
    context = {
        "bought": bought,
        "consigned": consigned,
        "unnamed": unnamed,
        "here": here,
        "here_paid": [str(Money(amount, currency)) for currency, amount in here.paid],
        "of_others": in_stock(consigned).pieces,
    }
    return render(request, "desk/stockbook/book.html", context)


@require_safe
@owner_only
def stock_book_csv(request: DeskRequest) -> HttpResponse:
    """The same lines as a file."""
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    name = f"stock-book-{timezone.localdate():%Y-%m-%d}.csv"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    writer = csv.writer(response)
    for row in _rows():
        writer.writerow([guarded(value) if isinstance(value, str) else value for value in row])
    return response


def _rows() -> Iterator[list[Any]]:
    bought, consigned, unnamed = book(the_shop())
    yield HEADS
    yield from map(_row, bought)
    yield []
    yield ["On consignment, not the shop’s own stock"]
    yield from map(_row, consigned)
    yield []
    yield ["No seller is written down yet"]
    yield from ([item.stock, "", "", "", "", "", item.description] for item in unnamed)


def _row(line: Line) -> list[Any]:
    item: Item = line.item
    sold = item.sold
    return [
        item.stock,
        item.bought_on.isoformat() if item.bought_on else "",
        item.invoice,
        item.note,
        _cell(line.purchase, line.currency),
        item.seller,
        item.description,
        sold.on.isoformat() if sold else "",
        sold.number if sold else "",
        _cell(line.selling, line.sold_in) if sold else item.disposed,
        sold.buyer if sold else "",
        _cell(line.margin, line.sold_in),
        line.shown_percent,
        _cell(line.vat, line.sold_in),
        line.currency,
        line.why.value,
    ]


def _cell(amount: Decimal | None, currency: str) -> Any:
    return "" if amount is None else Money(amount, currency).amount
