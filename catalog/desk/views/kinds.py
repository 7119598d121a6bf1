"""Kinds of instrument and their sheets: for the owner."""

from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.desk.forms.kinds import SHEETS, NewKindForm, sheet_rows
from catalog.instruments.models import Kind
from catalog.instruments.sheet_actions import add_kind, change_sheet
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, owner_only


@require_http_methods(["GET", "POST"])
@owner_only
def kinds(request: DeskRequest) -> HttpResponse:
    """All kinds, and a form for a new one."""
    form = NewKindForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            kind = add_kind(**form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("name", refused.message)
        else:
            messages.success(request, f"{kind.name} is added. Its sheet is empty: write it now.")
            return redirect("kind", kind.slug)
    found = Kind.objects.annotate(pieces=Count("instruments"))
    return render(request, "desk/kinds/kinds.html", {"kinds": found, "form": form})


@require_safe
@owner_only
def kind(request: DeskRequest, slug: str) -> HttpResponse:
    """One kind with its whole sheet to read."""
    found = get_object_or_404(Kind, slug=slug)
    return render(request, "desk/kinds/kind.html", _context(found, ""))


@require_http_methods(["GET", "POST"])
@owner_only
def sheet(request: DeskRequest, slug: str, what: str) -> HttpResponse:
    """One part of the sheet: its rows to add, change and remove."""
    found = get_object_or_404(Kind, slug=slug)
    if what not in SHEETS:
        raise Http404
    data = request.POST if request.method == "POST" else None
    rows = sheet_rows(found, what, data)
    refusal = ""
    if data is not None and rows.is_valid():
        try:
            change_sheet(found, what, rows.save, by=request.user, at=timezone.now())
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, f"{SHEETS[what][0]}: saved.")
            return redirect("kind-sheet", slug, what)
    return render(
        request, "desk/kinds/sheet.html", {**_context(found, what), "rows": rows, "refusal": refusal}
    )


def _context(kind: Kind, what: str) -> dict[str, Any]:
    names = [(slug, name) for slug, (name, _) in SHEETS.items()]
    return {"kind": kind, "sheets": names, "what": what, "heading": dict(names).get(what, "")}
