"""Costs, seller and terms of one record: for the owner alone."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.desk.forms.agreement import AgreementForm
from catalog.desk.forms.costs import AcquisitionForm, CostForm
from catalog.desk.views.record import find_standing, record_context
from catalog.instruments.models import Instrument
from catalog.pricing.actions import add_cost, describe_acquisition
from catalog.pricing.agreement_actions import add_agreement, lines_of
from catalog.pricing.margin_queries import prospect_of
from catalog.pricing.models import Agreement
from catalog.pricing.queries import agreement_on, is_consigned
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, owner_only


@require_http_methods(["GET", "POST"])
@owner_only
def costs(request: DeskRequest, stock: int) -> HttpResponse:
    """From whom it came and on what terms, what was spent on it, and what a price would leave. Rows are only added."""
    at = timezone.now()
    stands, today = find_standing(stock, at=at), timezone.localdate(at)
    instrument = stands.instrument
    deed = request.POST.get("deed", "")
    known = agreement_on(instrument, today)
    forms: dict[str, Any] = {
        "seller": AcquisitionForm(instrument, request.POST if deed == "seller" else None),
        "cost": CostForm(instrument, request.POST if deed == "cost" else None, today=today),
        "agreement": AgreementForm(
            instrument, request.POST if deed == "agreement" else None, known=known, today=today
        ),
    }
    if deed in forms and forms[deed].is_valid():
        try:
            said = DEEDS[deed](request, instrument, forms[deed])
        except Refused as refused:
            forms[deed].add_error(None, refused.message)
        else:
            messages.success(request, said)
            return redirect("costs", stock)
    context = {
        **record_context(request, stands, "costs"),
        **forms,
        "rows": instrument.costs.select_related("by"),
        "prospect": prospect_of(instrument, day=today, at=at),
        "consigned": is_consigned(instrument),
        "agreements": _agreements(instrument, known, today),
    }
    return render(request, "desk/stock/costs.html", context)


def _seller(request: DeskRequest, instrument: Instrument, form: AcquisitionForm) -> str:
    describe_acquisition(instrument, form.cleaned_data, by=request.user, at=timezone.now())
    return "Seller: saved."


def _cost(request: DeskRequest, instrument: Instrument, form: CostForm) -> str:
    added = {name: form.cleaned_data[name] for name in ("kind", "entry", "on", "note")}
    add_cost(instrument, amount=form.amount, **added, by=request.user, at=timezone.now())
    return "The cost is written down."


def _agreement(request: DeskRequest, instrument: Instrument, form: AgreementForm) -> str:
    given = form.cleaned_data
    add_agreement(
        instrument, given["tiers"], entry=given["entry"], by=request.user, at=timezone.now(), **form.terms
    )
    return "The agreement is written down."


DEEDS: dict[str, Any] = {"seller": _seller, "cost": _cost, "agreement": _agreement}


def _agreements(
    instrument: Instrument, known: Agreement | None, today: date
) -> list[tuple[Agreement, list[tuple[str, str]], str, str]]:
    """Every agreement, the latest first, with its terms and how it stands on the day."""
    rows = instrument.agreements.select_related("by").prefetch_related("tiers")
    return [(row, lines_of(row), *_standing(row, known, today)) for row in rows]


def _standing(row: Agreement, known: Agreement | None, today: date) -> tuple[str, str]:
    if row.starts > today:
        return "wait", "To come"
    if known is None or row.pk != known.pk:
        return "past", "Gone by"
    return ("wait", "Run out") if row.ends and row.ends < today else ("good", "In force")
