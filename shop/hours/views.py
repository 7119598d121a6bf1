"""The owner's page of opening hours and closed days."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from shop.hours.actions import close_days, open_again, set_hours
from shop.hours.forms import ClosedDayForm, WeekForm
from shop.hours.queries import closed_before, closed_from, hours_of_the_week
from shop.profile.models import ClosedDay
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, owner_only

GONE_BY = 40


@require_http_methods(["GET", "POST"])
@owner_only
def hours(request: DeskRequest) -> HttpResponse:
    """The hours of the week."""
    if request.method != "POST":
        return _page(request, WeekForm(known=hours_of_the_week()), ClosedDayForm())
    form = WeekForm(request.POST)
    if not form.is_valid():
        return _page(request, form, ClosedDayForm())
    set_hours(form.week, by=request.user, at=timezone.now())
    messages.success(request, "The opening hours are saved.")
    return redirect("hours")


@require_POST
@owner_only
def closed_day_new(request: DeskRequest) -> HttpResponse:
    """Close a day, or several in a row."""
    form = ClosedDayForm(request.POST)
    if form.is_valid():
        try:
            added = close_days(*form.span, form.cleaned_data["why"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("last", refused.message)
        else:
            messages.success(request, _said(added))
            return redirect("hours")
    return _page(request, WeekForm(known=hours_of_the_week()), form)


@require_POST
@owner_only
def closed_day_remove(request: DeskRequest, closed: int) -> HttpResponse:
    """Open on that day after all."""
    found = get_object_or_404(ClosedDay, pk=closed)
    open_again(found, by=request.user, at=timezone.now())
    messages.success(request, f"{found} is a day like any other again.")
    return redirect("hours")


def _said(added: int) -> str:
    if not added:
        return "That was closed already."
    return "One day is closed." if added == 1 else f"{added} days are closed."


def _page(request: DeskRequest, week: forms.Form, closed: forms.Form) -> HttpResponse:
    day = timezone.localdate()
    context = {
        "week": week,
        "closed": closed,
        "coming": closed_from(day),
        "gone": closed_before(day)[:GONE_BY],
        "given": bool(hours_of_the_week()),
    }
    return render(request, "desk/shop/hours.html", context)
