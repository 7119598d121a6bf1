"""One record: its overview, its sections, its history."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.desk.forms.section import SectionForm
from catalog.desk.queries import Standing, for_the_desk, history_for, standing_in_full
from catalog.desk.sections import find_form, sections_for
from catalog.instruments.models import Instrument
from catalog.originality.queries import parts_of, spoken_of
from catalog.originality.rules import examined
from catalog.publishing.queries import buyers_questions
from catalog.visits.queries import looked_at
from catalog.visits.rules import bars
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk
from shop.staff.models import User


def find_standing(stock: int, *, at: datetime) -> Standing:
    """The record of that stock number as it stands; Http404 when there is none."""
    return standing_in_full(get_object_or_404(for_the_desk(at), stock=stock), at=at)


def record_context(request: DeskRequest, stands: Standing, section: str) -> dict[str, Any]:
    """What the head and the list of sections of every page of a record need."""
    sections = [
        (item, sum(missing.section == item.slug for missing in stands.missing))
        for item in sections_for(request.user)
    ]
    return {"stands": stands, "instrument": stands.instrument, "sections": sections, "section": section}


@require_safe
@desk
def record(request: DeskRequest, stock: int) -> HttpResponse:
    """The whole record at a glance."""
    stands = find_standing(stock, at=timezone.now())
    instrument = stands.instrument
    many, of = examined(parts_of(instrument))
    seen = looked_at(instrument, last=timezone.localdate())
    context = {
        **record_context(request, stands, ""),
        "seen": seen,
        "view_hosts": bars(seen.hosts),
        "view_days": bars(tuple((day, views) for day, views in reversed(seen.days) if views)),
        "measurements": instrument.measurements.select_related("measure"),
        "examined": f"{many} of {of}",
        "originality": spoken_of(instrument),
        "questions": buyers_questions(instrument) if not instrument.sold_at else [],
    }
    return render(request, "desk/stock/record.html", context)


@require_http_methods(["GET", "POST"])
@desk
def record_section(request: DeskRequest, stock: int, section: str) -> HttpResponse:
    """One section with its form. What cannot be kept changes nothing and stays as typed."""
    chosen, form_class = find_form(section)
    at = timezone.now()
    stands = find_standing(stock, at=at)
    data = request.POST if request.method == "POST" else None
    form = form_class(stands.instrument, data, request.user)
    refusal = ""
    if data is not None and form.is_valid():
        refusal = _kept(form, by=request.user, at=at, revision=revision_of(request))
        if not refusal:
            messages.success(request, f"{chosen.name}: saved.")
            return redirect("record-section", stock, section)
        stands = find_standing(stock, at=at)
    context = record_context(request, stands, section)
    return render(request, form.template, {**context, "chosen": chosen, "form": form, "refusal": refusal})


def _kept(form: SectionForm, *, by: User, at: datetime, revision: int | None) -> str:
    """Keep it; "" when that was done, otherwise why not."""
    try:
        form.keep(by=by, at=at, revision=revision)
    except Refused as refused:
        return refused.message
    return ""


def revision_of(request: DeskRequest) -> int | None:
    """The state of the record that the sent page was made from; None when it does not say."""
    typed = request.POST.get("revision", "")
    return int(typed) if typed.isascii() and typed.isdecimal() else None


@require_safe
@desk
def history(request: DeskRequest, stock: int) -> HttpResponse:
    """Who changed what, when, from what to what."""
    stands = find_standing(stock, at=timezone.now())
    entries = history_for(request.user, stands.instrument)
    context = record_context(request, stands, "history")
    return render(request, "desk/stock/history.html", {**context, "entries": entries})


def find_instrument(stock: int) -> Instrument:
    """The bare record of that stock number; Http404 when there is none."""
    return get_object_or_404(Instrument.objects.named(), stock=stock)
