"""The owner's page of the limits of cash."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inquiries.cash.actions import add_limit
from inquiries.cash.forms import LimitForm
from inquiries.cash.models import CashLimit
from inquiries.cash.queries import limit_of
from inquiries.cash.rules import limit_on
from shop.profile.queries import the_shop
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


def _page(request: DeskRequest, **forms: Any) -> HttpResponse:
    day, shop, rows = timezone.localdate(), the_shop(), list(CashLimit.objects.select_related("by"))
    now = limit_on((limit_of(row) for row in rows if row.country == shop.country), day)
    form = LimitForm(
        initial={"country": shop.country, "currency": shop.currency, "starts": day, "read_on": day}
    )
    context = {"limits": rows, "now": now.key if now else None, "form": form}
    return render(request, "desk/cash/limits.html", context | forms)
