"""The owner's page of house policies: every one there ever was, side by side, and a new one added."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from shop.policies.actions import add_policy
from shop.policies.forms import PolicyForm
from shop.policies.models import HousePolicy
from shop.policies.queries import policy_on
from shop.policies.shown import side_by_side
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, owner_only


@require_safe
@owner_only
def policies(request: DeskRequest) -> HttpResponse:
    """The policies, and a form for another."""
    return _page(request)


@require_POST
@owner_only
def policy_new(request: DeskRequest) -> HttpResponse:
    """Add a policy."""
    today = timezone.localdate()
    form = PolicyForm(request.POST, now=policy_on(today), today=today)
    if form.is_valid():
        try:
            policy = add_policy(form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("starts", refused.message)
        else:
            messages.success(request, f"{policy}: it is written down.")
            return redirect("policies")
    return _page(request, form)


def _page(request: DeskRequest, form: PolicyForm | None = None) -> HttpResponse:
    today, shop = timezone.localdate(), the_shop()
    rows, now = list(HousePolicy.objects.select_related("by")), policy_on(today)
    shown = rows or [now]
    context = {
        "policies": rows,
        "shown": shown,
        "now": now.pk,
        "today": today,
        "parts": side_by_side(shown, shop.currency),
        "wide": len(shown) + 1,
        "form": form or PolicyForm(now=now, today=today),
    }
    return render(request, "desk/policies/policies.html", context)
