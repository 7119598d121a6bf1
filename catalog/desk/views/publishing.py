"""Preview, publish, withdraw."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.desk.views.record import find_instrument, find_standing, record_context
from catalog.instruments.models import Instrument
from catalog.public.queries import pages
from catalog.public.views import answer_with_listing
from catalog.publishing.actions import publish as publish_record
from catalog.publishing.actions import withdraw as withdraw_record
from catalog.publishing.waiting import waited_for
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def preview(request: DeskRequest, stock: int) -> HttpResponse:
    """The public page itself, as a visitor would see it now."""
    at = timezone.now()
    instrument = get_object_or_404(pages(Instrument.objects.all(), at=at), stock=stock)
    return answer_with_listing(request, instrument, at=at, preview=True, back=reverse("record", args=[stock]))


@require_http_methods(["GET", "POST"])
@desk
def publish(request: DeskRequest, stock: int) -> HttpResponse:
    """Put it on the public side, after a look at what is missing and at who is waited for."""
    reason = " ".join(request.POST.get("all_the_same", "").split())[:300]
    deed = partial(publish_record, all_the_same=reason)
    waits = waited_for(find_instrument(stock), at=timezone.now())
    done = "It is on the public side now."
    return _confirmed(request, stock, deed, "desk/stock/publish.html", done, waited_for=waits)


@require_http_methods(["GET", "POST"])
@desk
def withdraw(request: DeskRequest, stock: int) -> HttpResponse:
    """Take it off the public side."""
    return _confirmed(
        request, stock, withdraw_record, "desk/stock/withdraw.html", "It is off the public side now."
    )


def _confirmed(
    request: DeskRequest, stock: int, deed: Callable[..., Any], template: str, done: str, **shown: Any
) -> HttpResponse:
    at = timezone.now()
    refusal = ""
    if request.method == "POST":
        try:
            deed(find_instrument(stock), by=request.user, at=at)
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, done)
            return redirect("record", stock)
    context = record_context(request, find_standing(stock, at=at), "")
    return render(request, template, {**context, **shown, "refusal": refusal})
