"""Costs and seller of one record: for the owner alone."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.desk.forms.costs import AcquisitionForm, CostForm
from catalog.desk.views.record import find_standing, record_context
from catalog.pricing.actions import add_cost, describe_acquisition
from catalog.pricing.queries import landed_cost
from shop.staff.guards import DeskRequest, owner_only


@require_http_methods(["GET", "POST"])
@owner_only
def costs(request: DeskRequest, stock: int) -> HttpResponse:
    """From whom it came, and what was spent on it. Cost rows are added, never changed."""
    at = timezone.now()
    stands = find_standing(stock, at=at)
    instrument = stands.instrument
    deed = request.POST.get("deed", "")
    seller = AcquisitionForm(instrument, request.POST if deed == "seller" else None)
    cost = CostForm(instrument, request.POST if deed == "cost" else None, today=timezone.localdate(at))
    if deed == "seller" and seller.is_valid():
        describe_acquisition(instrument, seller.cleaned_data, by=request.user, at=at)
        messages.success(request, "Seller: saved.")
        return redirect("costs", stock)
    if deed == "cost" and cost.is_valid():
        added = {name: cost.cleaned_data[name] for name in ("kind", "entry", "on", "note")}
        add_cost(instrument, amount=cost.amount, **added, by=request.user, at=at)
        messages.success(request, "The cost is written down.")
        return redirect("costs", stock)
    context = record_context(request, stands, "costs")
    rows, landed = instrument.costs.select_related("by"), landed_cost(instrument)
    return render(
        request,
        "desk/stock/costs.html",
        {**context, "seller": seller, "cost": cost, "rows": rows, "landed": landed},
    )
