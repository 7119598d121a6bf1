"""What the bank does with money received: a step is noted, an amount is marked as cleared."""

from collections.abc import Callable
from datetime import datetime

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.desk.bank_panel import clear_form_of, step_form_of, waiting_of
from inquiries.desk.sale_page import sale_page
from inquiries.sales import actions
from inquiries.sales.clearing import note_step
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, for_page
from inquiries.sales.rules import Step, allowed
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk

Deed = Callable[[LedgerRow, forms.Form, datetime], object]
Make = Callable[[LedgerRow, object], forms.Form]


@require_POST
@desk
def sale_cleared(request: DeskRequest, sale: str) -> HttpResponse:
    """The bank has made an amount final."""

    def clear(row: LedgerRow, form: forms.Form, at: datetime) -> None:
        actions.mark_cleared(row, by=request.user, at=at, booked=form.cleaned_data.get("booked"))

    return _done(request, sale, clear_form_of, clear, "Marked as cleared.")


@require_POST
@desk
def sale_bank_step(request: DeskRequest, sale: str) -> HttpResponse:
    """The bank took money in, or shows it as credited, and it is not final."""

    def note(row: LedgerRow, form: forms.Form, at: datetime) -> None:
        given = form.cleaned_data
        note_step(row, given["step"], on=given["on"], note=given["note"], by=request.user, at=at)

    return _done(request, sale, step_form_of, note, "The step is noted. The money is not final yet.")


def _done(request: DeskRequest, number: str, make: Make, deed: Deed, said: str) -> HttpResponse:
    """Do one deed on one row. What is refused comes back beside that row, with everything typed."""
    found, at = _found(number), timezone.now()
    key = request.POST.get("row", "")
    row = next((row for row in found.rows.all() if str(row.pk) == key), None)
    if row is None:
        messages.error(request, "This row is not of this sale. Nothing was saved; look at it here once more.")
        return redirect("sale", number)
    form = make(row, request.POST)
    if form.is_valid():
        try:
            deed(row, form, at)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, said)
            return redirect("sale", number)
    found = _found(number)
    may = allowed(Step.CLEAR, facts_of(found), at=at)
    waiting = waiting_of(found, may=may, at=at, bound={row.pk: form})
    if not any(form in (one.step_form, one.clear_form) for one in waiting):
        messages.error(
            request, " ".join(map(str, form.non_field_errors())) or "This money waits for the bank no longer."
        )
    return sale_page(request, found, waiting=waiting)


def _found(number: str) -> Sale:
    return get_object_or_404(for_page(Sale.objects.all()), number=number)
