"""Price indexes: which there are, and a new one loaded."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.desk.forms.indexes import IndexForm
from catalog.pricing.index_actions import load_index
from catalog.pricing.models import IndexYear, PriceIndex
from catalog.pricing.queries import indexes as known_indexes
from shop.history.queries import history_of
from shop.staff.guards import DeskRequest, desk, owner_only


@require_safe
@desk
def indexes(request: DeskRequest) -> HttpResponse:
    """Every price index with its figures; for the owner a form to load another."""
    return render(request, "desk/indexes/indexes.html", _context(IndexForm()))


@require_POST
@owner_only
def load(request: DeskRequest) -> HttpResponse:
    """Load an index whole. What cannot be read changes nothing and stays as typed."""
    form = IndexForm(request.POST, request.FILES)
    if not form.is_valid():
        return render(request, "desk/indexes/indexes.html", _context(form))
    given = {name: form.cleaned_data[name] for name in ("name", "currency", "source", "figures")}
    index = load_index(**given, by=request.user, at=timezone.now())
    years = sorted(given["figures"])
    messages.success(request, f"{index}: {len(years)} years, {years[0]} to {years[-1]}.")
    return redirect("indexes")


def _context(form: IndexForm) -> dict[str, Any]:
    found = list(known_indexes())
    return {
        "rows": [(index, _in_use(index, found), _figures(index)) for index in found],
        "form": form,
        "history": history_of(*found),
    }


def _in_use(index: PriceIndex, found: list[PriceIndex]) -> bool:
    """The first of its currency, in the order of catalog.pricing.queries.indexes."""
    return index == next(other for other in found if other.currency == index.currency)


def _figures(index: PriceIndex) -> list[IndexYear]:
    return list(index.years.all())
