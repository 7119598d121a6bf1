"""The owner's page of tax: every policy and rate there ever was, and a new one added."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inquiries.tax.actions import add_policy, add_rate
from inquiries.tax.forms import PolicyForm, RateForm
from inquiries.tax.models import TaxPolicy, TaxRate
from inquiries.tax.queries import all_policies, all_rates, place_of_shop
from inquiries.tax.rules import policy_on, rates_on
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, owner_only


@require_safe
@owner_only
def tax(request: DeskRequest) -> HttpResponse:
    """Policies, rates, and a form for another of each."""
    return _page(request)


@require_POST
@owner_only
def tax_rate_new(request: DeskRequest) -> HttpResponse:
    """Add a rate."""
    form = RateForm(request.POST)
    if not form.is_valid():
        return _page(request, rate_form=form)
    rate = add_rate(form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, f"{rate}: it holds from {rate.starts:%-d %B %Y}.")
    return redirect("tax")


@require_POST
@owner_only
def tax_policy_new(request: DeskRequest) -> HttpResponse:
    """Add a policy."""
    form = PolicyForm(request.POST, today=timezone.localdate())
    if not form.is_valid():
        return _page(request, policy_form=form)
    policy = add_policy(form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, f"{policy}: it is written down.")
    return redirect("tax")


def _page(request: DeskRequest, **forms: Any) -> HttpResponse:
    day, shop = timezone.localdate(), the_shop()
    policy = policy_on(all_policies(), day)
    context = {
        "today": day,
        "policies": TaxPolicy.objects.select_related("by"),
        "policy_now": policy.key if policy else None,
        "rates": TaxRate.objects.select_related("by"),
        "rates_now": {rate.key for rate in rates_on(all_rates(), day)},
        "place": place_of_shop(shop),
        "policy_form": PolicyForm(today=day),
        "rate_form": RateForm(initial={"starts": day, "country": shop.country}),
    }
    return render(request, "desk/tax/tax.html", context | forms)
