"""The check of borders on a record or a sale, the checks that were kept, and the rules behind them."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.models import Instrument
from inquiries.borders.actions import add_rule, keep_check, retire_rule
from inquiries.borders.forms import CheckForm, RuleForm
from inquiries.borders.models import BorderCheck, BorderRule
from inquiries.borders.queries import rules_in_use, shipment_of
from inquiries.borders.rules import SAID, Verdict, check
from inquiries.sales.models import Sale
from inquiries.shipping.destination import country_of
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only


@require_http_methods(["GET", "POST"])
@desk
def border_check(request: DeskRequest, stock: int) -> HttpResponse:
    """The check on a record without a sale."""
    return _check(request, get_object_or_404(Instrument.objects.named(), stock=stock), None)


@require_http_methods(["GET", "POST"])
@desk
def sale_border_check(request: DeskRequest, sale: str) -> HttpResponse:
    """The check on a sale: to where its parcel went, or to where the buyer lives until one has gone."""
    found = get_object_or_404(Sale.objects.select_related("contact", "shipment"), number=sale)
    return _check(request, Instrument.objects.named().get(pk=found.instrument_id), found)


def _check(request: DeskRequest, instrument: Instrument, sale: Sale | None) -> HttpResponse:
    """Show every line; a press keeps them. Without a journey only the form is shown."""
    data = request.POST if request.method == "POST" else (request.GET or None)
    there = country_of(sale) if sale else ""
    form = CheckForm(data, leaving=the_shop().country, entering=there, on=timezone.localdate())
    context: dict[str, Any] = {"form": form, "instrument": instrument, "sale": sale, "said": None}
    if data is not None and form.is_valid():
        lines = check(rules_in_use(), shipment_of(instrument, **form.given()))
        if request.method == "POST" and form.cleaned_data["entry"]:
            kept = keep_check(
                instrument,
                sale,
                inputs={**form.told(), "Date of make": instrument.made or "Not given"},
                lines=lines,
                entry=str(form.cleaned_data["entry"]),
                by=request.user,
                at=timezone.now(),
            )
            messages.success(request, "The check is kept as it stands today.")
            return redirect("border-check-kept", kept.pk)
        context["said"] = _groups([line.as_data() for line in lines])
    context["kept"] = BorderCheck.objects.filter(instrument=instrument).select_related("by")
    return render(request, "desk/borders/check.html", context)


@require_safe
@desk
def kept(request: DeskRequest, check: int) -> HttpResponse:
    """A check as it was on its day."""
    rows = BorderCheck.objects.select_related("by", "sale", "instrument__model__maker", "instrument__kind")
    found = get_object_or_404(rows, pk=check)
    context = {"check": found, "said": _groups(found.lines), "instrument": found.instrument}
    return render(request, "desk/borders/kept.html", context)


def _groups(lines: list[dict[str, Any]]) -> list[tuple[str, str, list[dict[str, Any]]]]:
    """Key, heading and lines of each verdict that has any, the gravest first."""
    certain = dict(BorderRule.Certainty.choices)
    shown = [{**line, "certainty": certain.get(line["certainty"], "")} for line in lines]
    groups = [(str(v), SAID[v], [line for line in shown if line["verdict"] == v]) for v in Verdict]
    return [group for group in groups if group[2]]


@require_safe
@desk
def rules(request: DeskRequest) -> HttpResponse:
    """Every rule there is and was, with its source."""
    return _rules(request, RuleForm())


@require_POST
@owner_only
def rule_add(request: DeskRequest) -> HttpResponse:
    """Add a rule. What cannot be read stays as typed."""
    form = RuleForm(request.POST)
    if not form.is_valid():
        return _rules(request, form)
    add_rule(form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, "The rule is added; the next check tries it.")
    return redirect("border-rules")


@require_POST
@owner_only
def rule_retire(request: DeskRequest, rule: int) -> HttpResponse:
    """Retire a rule, and say why."""
    found = get_object_or_404(BorderRule, pk=rule)
    try:
        retire_rule(found, why=request.POST.get("why", "")[:200], by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The rule is retired; checks that were kept still show it.")
    return redirect("border-rules")


def _rules(request: DeskRequest, form: RuleForm) -> HttpResponse:
    rows = BorderRule.objects.select_related("retired").order_by("retired", "law", "pk")
    return render(request, "desk/borders/rules.html", {"rules": rows, "form": form})
