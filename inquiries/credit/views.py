"""Store credit and trade-ins at the desk."""

from collections.abc import Callable
from datetime import datetime

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.credit import actions
from inquiries.credit.forms import CreditForm, TradeForm
from inquiries.desk.sale_page import sale_page
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only


def _found(number: str) -> Sale:
    return get_object_or_404(with_rows(Sale.objects.all()), number=number)


@require_POST
@desk
def sale_credit_use(request: DeskRequest, sale: str) -> HttpResponse:
    """Pay by store credit."""
    found = _found(sale)
    form = CreditForm(request.POST, currency=found.currency, auto_id="id_use_%s")

    def pay(at: datetime) -> None:
        given = form.cleaned_data
        actions.pay_by_credit(found, given["amount"], entry=given["entry"], by=request.user, at=at)

    return _done(request, found, "use_form", form, pay, "Paid by store credit.")


@require_POST
@owner_only
def sale_credit_give(request: DeskRequest, sale: str) -> HttpResponse:
    """Pay back in store credit."""
    found = _found(sale)
    form = CreditForm(request.POST, currency=found.currency, auto_id="id_give_%s")

    def give(at: datetime) -> None:
        given = form.cleaned_data
        actions.give_credit(
            found, given["amount"], entry=given["entry"], note=given["note"], by=request.user, at=at
        )

    return _done(request, found, "give_form", form, give, "The store credit is given.")


@require_POST
@owner_only
def sale_trade(request: DeskRequest, sale: str) -> HttpResponse:
    """Take a piece in part payment."""
    found = _found(sale)
    form = TradeForm(request.POST, currency=found.currency, auto_id="id_trade_%s")

    def take(at: datetime) -> None:
        actions.take_in_trade(found, form.traded(), by=request.user, at=at)

    return _done(request, found, "trade_form", form, take, "It is taken in trade, and its record is open.")


def _done(
    request: DeskRequest, sale: Sale, name: str, form: forms.Form, deed: Callable[[datetime], None], said: str
) -> HttpResponse:
    """Do one deed. A form with errors, or a deed refused, comes back with everything typed."""
    if form.is_valid():
        try:
            deed(timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, said)
            return redirect("sale", sale.number)
    return sale_page(request, _found(sale.number), **{name: form})
