"""Jobs of repair and set-up on one record: what and when for everybody, who and for how much for the owner alone."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.desk.forms.work import BackForm, WorkForm
from catalog.desk.views.record import find_standing, record_context
from catalog.pricing.models import Work
from catalog.pricing.work_actions import give_out, take_back
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only


@dataclass(frozen=True)
class Job:
    """One job as the page shows it; `form` is there while it is out, for the owner."""

    work: Work
    days: int
    form: BackForm | None


@require_safe
@desk
def work(request: DeskRequest, stock: int) -> HttpResponse:
    """What is out, and what has come back."""
    return _page(request, stock)


@require_POST
@owner_only
def work_give(request: DeskRequest, stock: int) -> HttpResponse:
    """Give it out."""
    at = timezone.now()
    instrument = find_standing(stock, at=at).instrument
    form = WorkForm(request.POST, currency=instrument.currency, today=timezone.localdate(at))
    if not form.is_valid():
        return _page(request, stock, form=form)
    give_out(instrument, **form.cleaned_data, by=request.user, at=at)
    messages.success(request, "The job is written down.")
    return redirect("work", stock)


@require_POST
@owner_only
def work_back(request: DeskRequest, stock: int, work: int) -> HttpResponse:
    """It has come back."""
    at = timezone.now()
    job = get_object_or_404(Work.objects.select_related("instrument"), pk=work, instrument__stock=stock)
    form = BackForm(request.POST, currency=job.instrument.currency, today=timezone.localdate(at), work=job)
    if form.is_valid():
        try:
            take_back(job, **form.cleaned_data, by=request.user, at=at)
        except Refused as refused:
            if refused.code == "back-already":  # its form is no longer on the page
                messages.error(request, refused.message)
                return redirect("work", stock)
            form.add_error("done_on", refused.message)
        else:
            messages.success(request, "It is back, and what was done is written down.")
            return redirect("work", stock)
    return _page(request, stock, back={job.pk: form})


def _page(
    request: DeskRequest, stock: int, *, form: WorkForm | None = None, back: dict[int, BackForm] | None = None
) -> HttpResponse:
    at = timezone.now()
    stands, today = find_standing(stock, at=at), timezone.localdate(at)
    instrument, owner = stands.instrument, request.user.is_owner
    rows = list(instrument.works.select_related("cost"))
    context: dict[str, Any] = {
        **record_context(request, stands, "work"),
        "out": [_out(row, today, owner=owner, back=back or {}) for row in rows if row.done_on is None],
        "done": [row for row in rows if row.done_on],
        "owner": owner,
    }
    if owner:
        context["form"] = form or WorkForm(None, currency=instrument.currency, today=today)
    return render(request, "desk/stock/work.html", context)


def _out(row: Work, today: date, *, owner: bool, back: dict[int, BackForm]) -> Job:
    form = BackForm(None, currency=row.instrument.currency, today=today, work=row) if owner else None
    return Job(row, (today - row.begun_on).days, back.get(row.pk, form))
