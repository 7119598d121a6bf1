"""The return of a piece at the desk."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inquiries.desk.sale_page import sale_page
from inquiries.returns import actions
from inquiries.returns.compared import to_compare
from inquiries.returns.forms import InspectionForm, KeepForm, ReturnForm, never_delivered
from inquiries.returns.models import Inspection
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, standing_call, with_rows
from inquiries.sales.rules import Step, allowed
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


def _found(number: str) -> Sale:
    return get_object_or_404(with_rows(Sale.objects.all()), number=number)


def _then(sale: Sale) -> str:
    """What became of a piece that is not as it was sent."""
    if sale.inspection.verdict == Inspection.Verdict.AS_SENT:
        return ""
    return " It is off the public side, a draft again; whoever waited for it is on Today to be told."


@require_POST
@desk
def sale_return(request: DeskRequest, sale: str) -> HttpResponse:
    """The buyer sends it back, or it comes back undelivered."""
    found = _found(sale)
    form = ReturnForm(request.POST, sale=found, late=True, auto_id="id_return_%s")
    if form.is_valid():
        try:
            actions.announce(form.instance, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, "It is entered that the piece comes back.")
            return redirect("sale", sale)
    return sale_page(request, found, return_form=form)


@require_POST
@desk
def sale_keep(request: DeskRequest, sale: str) -> HttpResponse:
    """The buyer keeps it after all, or it goes on to the buyer."""
    found = _found(sale)
    form = KeepForm(request.POST, sale=found)
    if form.is_valid():
        try:
            actions.drop(found, why=form.cleaned_data["why"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, "It does not come back; the sale goes on.")
            return redirect("sale", sale)
    return sale_page(request, found, keep_form=form)


@require_http_methods(["GET", "POST"])
@desk
def sale_inspection(request: DeskRequest, sale: str) -> HttpResponse:
    """Compare what came back with the record and the photographs."""
    found, at = _found(sale), timezone.now()
    data = request.POST if request.method == "POST" else None
    form = InspectionForm(data, compared=to_compare(found), came_at=at)
    if data is not None and form.is_valid():
        try:
            actions.inspect(form.inspection(found), form.lines(), by=request.user, at=at)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"It is entered how the piece came back.{_then(found)}")
            return redirect("sale", sale)
    context = {
        "sale": found,
        "form": form,
        "call": standing_call(found),
        "undelivered": never_delivered(found),
        "open": allowed(Step.INSPECT, facts_of(found), at=at),
        "sealed": found.parcel_pictures.all(),
    }
    return render(request, "desk/sales/inspection.html", context)
