"""What was struck off: confirmed with a reason, or put back."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from catalog.desk.sections import find_form
from catalog.desk.views.record import find_standing, record_context
from catalog.striking import actions
from catalog.striking.forms import ConfirmForm
from catalog.striking.queries import STRIKEABLE
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only


@require_POST
@owner_only
def confirm(request: DeskRequest, stock: int, section: str, evidence: int) -> HttpResponse:
    """Keep why it was struck off. What cannot be kept stays as typed."""
    row = _find(stock, section, evidence)
    form = ConfirmForm(row, request.POST)
    if form.is_valid():
        try:
            actions.confirm(row, form.cleaned_data["reason"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("reason", refused.message)
        else:
            messages.success(request, "The reason is kept. It holds back no claim any more.")
            return _back(stock, section, row)
    return _page(request, stock, section, form)


@require_POST
@desk
def put_back(request: DeskRequest, stock: int, section: str, evidence: int) -> HttpResponse:
    """Let it stand on the record again."""
    row = _find(stock, section, evidence)
    try:
        if actions.put_back(row, by=request.user, at=timezone.now()):
            messages.success(request, "It is put back, and stands on the record again.")
    except Refused as refused:
        messages.error(request, refused.message)
        return _back(stock, section, row)
    return redirect("record-section", stock, section)


def _find(stock: int, section: str, evidence: int) -> Any:
    if section not in STRIKEABLE:
        raise Http404
    return get_object_or_404(STRIKEABLE[section].every, instrument__stock=stock, pk=evidence)


def _back(stock: int, section: str, row: Any) -> HttpResponse:
    return redirect(f"{reverse('record-section', args=[stock, section])}#struck-{row.pk}")


def _page(request: DeskRequest, stock: int, section: str, confirming: ConfirmForm) -> HttpResponse:
    """The section as it stands, with the reason as it was sent."""
    chosen, form_class = find_form(section)
    stands = find_standing(stock, at=timezone.now())
    form: Any = form_class(stands.instrument, None, request.user)
    form.confirming = confirming
    context = record_context(request, stands, section)
    return render(request, form.template, {**context, "chosen": chosen, "form": form, "refusal": ""})
