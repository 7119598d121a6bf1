"""The owner's page of the limits of cash."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inquiries.cash.actions import add_limit, file_report
from inquiries.cash.forms import LimitForm, ReportForm
from inquiries.cash.models import CashLimit
from inquiries.cash.panel import cash_on, id_of
from inquiries.cash.queries import limit_of
from inquiries.cash.rules import limit_on
from inquiries.desk.sale_page import sale_page
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, owner_only


@require_safe
@owner_only
def cash_limits(request: DeskRequest) -> HttpResponse:
    """Every limit there ever was, and a form for another."""
    return _page(request)


@require_POST
@owner_only
def cash_limit_new(request: DeskRequest) -> HttpResponse:
    """Add a limit."""
    form = LimitForm(request.POST)
    if not form.is_valid():
        return _page(request, form=form)
    limit = add_limit(form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, f"{limit}: it is written down.")
    return redirect("cash-limits")


@require_POST
@owner_only
def cash_report_filed(request: DeskRequest, row: int) -> HttpResponse:
    """Write down that a report was filed. What cannot be taken comes back on the page of the sale."""
    payment = get_object_or_404(LedgerRow.objects.select_related("sale"), pk=row)
    form = ReportForm(request.POST, auto_id=id_of(row))
    if form.is_valid():
        try:
            report = file_report(payment, **form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"{report}: it is written down.")
            return redirect(f"{reverse('sale', args=[payment.sale.number])}#cash-{row}")
    sale = with_rows(Sale.objects.all()).get(pk=payment.sale_id)
    shown = cash_on(sale, request.user, timezone.now(), bound={row: form})
    return sale_page(request, sale, **shown)


def _page(request: DeskRequest, **forms: Any) -> HttpResponse:
    day, shop, rows = timezone.localdate(), the_shop(), list(CashLimit.objects.select_related("by"))
    now = limit_on((limit_of(row) for row in rows if row.country == shop.country), day)
    form = LimitForm(
        initial={"country": shop.country, "currency": shop.currency, "starts": day, "read_on": day}
    )
    context = {"limits": rows, "now": now.key if now else None, "form": form}
    return render(request, "desk/cash/limits.html", context | forms)
