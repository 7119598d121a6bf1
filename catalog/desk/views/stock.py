"""The stock, and a new record."""

from datetime import timedelta

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.desk.forms.identity import NewRecordForm
from catalog.desk.forms.stock import StockFilter
from catalog.desk.queries import for_the_desk, narrowed, standing
from shop.limits.actions import within_limit
from shop.staff.guards import DeskRequest, desk

A_PAGE = 50


@require_safe
@desk
def stock(request: DeskRequest) -> HttpResponse:
    """Every instrument, newest number first, narrowed by state and text."""
    at = timezone.now()
    form = StockFilter(request.GET)
    found = narrowed(for_the_desk(at), *form.chosen())
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    rows = [standing(instrument, at=at) for instrument in page]
    return render(request, "desk/stock/stock.html", {"form": form, "page_obj": page, "rows": rows})


@require_http_methods(["GET", "POST"])
@desk
def new(request: DeskRequest) -> HttpResponse:
    """Open a record: kind, maker, model. The rest is written in its sections."""
    form = NewRecordForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _opened(request, form)
    return render(request, "desk/stock/new.html", {"form": form})


@transaction.atomic
def _opened(request: DeskRequest, form: NewRecordForm) -> HttpResponse:
    at = timezone.now()
    press = str(form.cleaned_data["entry"])
    if not within_limit("open-record", press, most=1, every=timedelta(days=1), at=at):
        messages.info(request, "That record is open already; it is the first in the list.")
        return redirect("stock")
    instrument = form.open(by=request.user, at=at)
    messages.success(request, f"Stock number {instrument.stock_id} is given.")
    return redirect("record", instrument.stock_id)
