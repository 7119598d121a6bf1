"""The speaker's sheet at the desk: read it, print it, make it one's own."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.desk.views.record import find_standing, record_context
from catalog.instruments.models import Instrument
from catalog.public.queries import pages
from catalog.speaking import actions
from catalog.speaking.forms import WordsForm
from catalog.speaking.queries import sheet_of
from catalog.speaking.rules import LABELS, Spoken, size
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, desk

# What each button does, and what is said of it afterwards; moving speaks for itself.
Deed = tuple[Callable[..., bool], dict[str, Any], str]
DEEDS: dict[str, Deed] = {
    "earlier": (actions.move, {"places": -1}, ""),
    "later": (actions.move, {"places": 1}, ""),
    "leave-out": (actions.leave_out, {}, "{label}: left out."),
    "put-back": (actions.put_back, {}, "{label}: back on the sheet."),
}


@require_http_methods(["GET", "POST"])
@desk
def speaker(request: DeskRequest, stock: int) -> HttpResponse:
    """One page to read from; each line can be reworded, moved, left out and put back."""
    at = timezone.now()
    instrument = _find(stock, at=at)
    if request.method == "GET":
        return _page(request, instrument, at=at)
    key, deed = request.POST.get("line", ""), request.POST.get("deed", "")
    if key not in LABELS:
        raise Http404
    if deed == "reword":
        return _reworded(request, instrument, key, at=at)
    if deed not in DEEDS:
        raise Http404
    act, how, says = DEEDS[deed]
    act(instrument, key, **how, by=request.user, at=at)
    if says:
        messages.success(request, says.format(label=LABELS[key]))
    return _back(stock, key)


def _reworded(request: DeskRequest, instrument: Instrument, key: str, *, at: datetime) -> HttpResponse:
    spoken = {spoken.line.key: spoken for spoken in sheet_of(instrument, the_shop())}[key]
    form = WordsForm(spoken, request.POST)
    if not form.is_valid():
        return _page(request, instrument, at=at, wrong=form, key=key)
    typed = form.cleaned_data
    actions.reword(instrument, key, typed["words"], from_record=typed["from_record"], by=request.user, at=at)
    messages.success(request, f"{LABELS[key]}: saved.")
    return _back(instrument.stock_id, key)


def _page(
    request: DeskRequest,
    instrument: Instrument,
    *,
    at: datetime,
    wrong: WordsForm | None = None,
    key: str = "",
) -> HttpResponse:
    """The sheet; a form that could not be read (`wrong`) stands in it as it was typed."""
    sheet = sheet_of(instrument, the_shop())
    heard = [spoken for spoken in sheet if not spoken.left_out]
    context = {
        **record_context(request, find_standing(instrument.stock_id, at=at), "speaker"),
        "lines": [(spoken, wrong if key == spoken.line.key else WordsForm(spoken)) for spoken in heard],
        "left_out": [spoken for spoken in sheet if spoken.left_out],
        "wrong": key,
        "size": size(heard),
        "first": _key(heard[:1]),
        "last": _key(heard[-1:]),
    }
    return render(request, "desk/speaking/sheet.html", context)


def _key(lines: list[Spoken]) -> str:
    return lines[0].line.key if lines else ""


def _find(stock: int, *, at: datetime) -> Instrument:
    every = pages(Instrument.objects.all(), at=at).prefetch_related("spoken_lines", "claim_answers")
    return get_object_or_404(every, stock=stock)


def _back(stock: int, key: str) -> HttpResponse:
    answer = redirect("speaker", stock)
    answer["Location"] += f"#line-{key}"
    return answer
