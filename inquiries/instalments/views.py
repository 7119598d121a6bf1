"""Instalments at the desk."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.desk.sale_page import sale_page
from inquiries.instalments.actions import agree
from inquiries.instalments.forms import PlanForm
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, with_rows
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_POST
@desk
def sale_plan(request: DeskRequest, sale: str) -> HttpResponse:
    """Agree on instalments; the `look` button only works the lines out."""
    found = get_object_or_404(with_rows(Sale.objects.all()), number=sale)
    form = PlanForm(request.POST, currency=found.currency, balance=facts_of(found).balance)
    if "look" in request.POST:
        return sale_page(request, found, plan_form=form.worked_out())
    if form.is_valid():
        given = form.cleaned_data
        try:
            agree(
                found,
                given["lines"],
                note=given["note"],
                entry=given["entry"],
                by=request.user,
                at=timezone.now(),
            )
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, "The instalments are agreed.")
            return redirect("sale", sale)
    return sale_page(request, found, plan_form=form)
