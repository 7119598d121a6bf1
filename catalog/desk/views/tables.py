"""What dates a maker's work: the shop's own tables of numbers, and the dated features."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.dating import actions
from catalog.dating.models import NumberTable
from catalog.dating.queries import tables_of
from catalog.desk.forms.tables import FeatureFormSet, TableForm
from catalog.instruments.models import Maker
from shop.limits.actions import within_limit
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only

A_PAGE = 200


@require_safe
@desk
def numbers(request: DeskRequest, maker: int) -> HttpResponse:
    """A maker's tables of numbers; the owner loads another."""
    return _numbers(request, get_object_or_404(Maker, pk=maker), TableForm(None, None))


def _numbers(request: DeskRequest, maker: Maker, form: TableForm) -> HttpResponse:
    tables = list(tables_of(maker))
    context = {**_context(maker, "numbers"), "tables": tables, "form": form}
    context["sources"] = dict.fromkeys(table.source for table in tables)
    return render(request, "desk/tables/numbers.html", context)


@require_POST
@owner_only
def load(request: DeskRequest, maker: int) -> HttpResponse:
    """Load a table whole, or not at all; then what was sent stands in the form with what is wrong."""
    found = get_object_or_404(Maker, pk=maker)
    form = TableForm(request.POST, request.FILES)
    if not form.is_valid():
        return _numbers(request, found, form)
    table = _loaded(request, found, form)
    return redirect("number-table", maker, table.pk) if table else redirect("number-tables", maker)


@transaction.atomic
def _loaded(request: DeskRequest, maker: Maker, form: TableForm) -> NumberTable | None:
    at, values = timezone.now(), form.cleaned_data
    if not within_limit("load-table", str(values["entry"]), most=1, every=timedelta(days=1), at=at):
        messages.info(request, "That table is loaded already.")
        return None
    table = actions.load_table(maker, values["what"], values["source"], form.lines, by=request.user, at=at)
    messages.success(request, f"The table is loaded: {len(form.lines)} lines.")
    return table


@require_safe
@desk
def table(request: DeskRequest, maker: int, table: int) -> HttpResponse:
    """The lines of one table, as they were read."""
    found = find_table(maker, table)
    page = Paginator(found.ranges.all(), A_PAGE).get_page(request.GET.get("page"))
    context = {**_context(found.maker, "numbers"), "table": found, "page_obj": page}
    return render(request, "desk/tables/table.html", context)


@require_POST
@owner_only
def retire(request: DeskRequest, maker: int, table: int) -> HttpResponse:
    """Offer the lines of a table no more."""
    actions.retire_table(find_table(maker, table), by=request.user, at=timezone.now())
    messages.success(request, "The table is retired. Evidence that rests on it stays.")
    return redirect("number-tables", maker)


def find_table(maker: int, table: int) -> NumberTable:
    """That table of that maker; Http404 when there is none."""
    tables = NumberTable.objects.select_related("maker", "loaded_by")
    return get_object_or_404(tables, pk=table, maker=maker)


@require_http_methods(["GET", "POST"])
@desk
def features(request: DeskRequest, maker: int) -> HttpResponse:
    """A maker's dated features: rows to add, change and remove."""
    found = get_object_or_404(Maker, pk=maker)
    data = request.POST if request.method == "POST" else None
    rows = FeatureFormSet(data, instance=found, prefix="features")
    refusal = ""
    if data is not None and rows.is_valid():
        try:
            actions.change_features(found, rows.save, by=request.user, at=timezone.now())
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, "Dated features: saved.")
            return redirect("dated-features", maker)
    context = {**_context(found, "features"), "rows": rows, "refusal": refusal}
    return render(request, "desk/tables/features.html", context)


def _context(maker: Maker, page: str) -> dict[str, Any]:
    return {"maker": maker, "page": page}
