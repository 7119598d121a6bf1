"""The owner's page of what carriers write, and the list to pack a piece by."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inquiries.sales.models import Sale
from inquiries.shipping.actions import add_carrier_rule
from inquiries.shipping.forms import CarrierRuleForm
from inquiries.shipping.models import CarrierRule
from inquiries.shipping.packing import packing_list
from inquiries.shipping.queries import in_force
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, desk, owner_only


@require_safe
@owner_only
def carrier_rules(request: DeskRequest) -> HttpResponse:
    """Every rule there ever was, and a form for another."""
    return _page(request, _form())


@require_POST
@owner_only
def carrier_rule_new(request: DeskRequest) -> HttpResponse:
    """Add a rule."""
    form = _form(request.POST)
    if not form.is_valid():
        return _page(request, form)
    rule = add_carrier_rule(form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, f"{rule}: it is written down.")
    return redirect("carrier-rules")


@require_safe
@desk
def sale_packing(request: DeskRequest, sale: str) -> HttpResponse:
    """What is usually done when such a piece is packed, as a list to print; nothing of it is kept."""
    rows = Sale.objects.select_related("instrument__kind", "instrument__maker", "instrument__model__maker")
    found = get_object_or_404(rows.prefetch_related("instrument__included"), number=sale)
    context = {
        "sale": found,
        "instrument": found.instrument,
        "parts": packing_list(found.instrument.kind.slug),
    }
    return render(request, "desk/sales/packing.html", context)


def _form(data: Any = None) -> CarrierRuleForm:
    shop, day = the_shop(), timezone.localdate()
    return CarrierRuleForm(
        data,
        carriers=shop.carrier_names,
        currency=shop.currency,
        initial={"starts": day, "read_on": day},
    )


def _page(request: DeskRequest, form: CarrierRuleForm) -> HttpResponse:
    rows = list(CarrierRule.objects.select_related("by"))
    context = {
        "rows": rows,
        "now": in_force(rows, timezone.localdate()),
        "form": form,
        "has_carriers": bool(the_shop().carrier_names),
    }
    return render(request, "desk/carriers/rules.html", context)
