"""What the texts of a record claim; the answers to it; and the owner’s list of claim words."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.claims.actions import answer_claim, change_words
from catalog.claims.placeholders import SAID_OF
from catalog.claims.queries import (
    TEXTS,
    claim_words,
    judgements,
    read_draft,
    read_texts,
    record_of,
    with_claims,
)
from catalog.claims.rules import BY_KEY, CLAIMS
from catalog.desk.forms.claims import AnswerForm, plain, word_rows
from catalog.desk.views.record import find_standing, record_context
from catalog.instruments.models import Instrument
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only

LONGEST = 20_000  # characters read while typing


@require_safe
@desk
def claims(request: DeskRequest, stock: int) -> HttpResponse:
    """Every claim found in the texts, and every claim there is, beside what the record makes of it."""
    return _page(request, stock)


@require_POST
@desk
def answer(request: DeskRequest, stock: int) -> HttpResponse:
    """Keep an answer. What cannot be kept stays as typed."""
    instrument = _whole(stock)
    asked = request.POST.get("claim"), plain(request.POST.get("sentence", ""))
    reading = next(
        (one for one in read_texts(instrument) if (one.found.key, one.found.sentence) == asked), None
    )
    if reading is None:
        return _page(request, stock, refusal="That sentence no longer stands on the record.")
    form = AnswerForm(reading, request.POST)
    if not form.is_valid():
        return _page(request, stock, bound=form)
    try:
        answer_claim(instrument, **form.cleaned_data, by=request.user, at=timezone.now())
    except Refused as refused:
        return _page(request, stock, bound=form, refusal=refused.message)
    messages.success(request, "The answer is kept.")
    return redirect("claims", stock)


@require_POST
@desk
def read(request: DeskRequest, stock: int) -> HttpResponse:
    """What the text claims that is being typed: a fragment for beneath its field."""
    instrument = _whole(stock)
    readings = [
        reading
        for field, _, _ in TEXTS
        if field in request.POST
        for reading in read_draft(instrument, field, plain(request.POST[field])[:LONGEST])
    ]
    return render(request, "desk/claims/_read.html", {"instrument": instrument, "readings": readings})


def _whole(stock: int) -> Instrument:
    instrument: Instrument = get_object_or_404(with_claims(Instrument.objects.all()), stock=stock)
    return instrument


def _page(
    request: DeskRequest, stock: int, *, bound: AnswerForm | None = None, refusal: str = ""
) -> HttpResponse:
    instrument = _whole(stock)
    record = record_of(instrument)
    found = [(reading, _form(reading, bound)) for reading in read_texts(instrument, record)]
    context = record_context(request, find_standing(stock, at=timezone.now()), "claims")
    shown = {"found": found, "judged": judgements(record), "refusal": refusal}
    return render(request, "desk/claims/claims.html", {**context, **shown})


def _form(reading: Any, bound: AnswerForm | None) -> AnswerForm:
    """The form as it was sent, when it was sent for this sentence."""
    if bound and (bound["claim"].value(), plain(bound["sentence"].value())) == (
        reading.found.key,
        reading.found.sentence,
    ):
        return bound
    return AnswerForm(reading)


@require_safe
@owner_only
def words(request: DeskRequest) -> HttpResponse:
    """Every claim with its rule and its words."""
    listed: dict[str, list[str]] = {}
    for row in claim_words():
        listed.setdefault(row.claim, []).append(row.words)
    rows = [(claim, listed.get(claim.key, [])) for claim in CLAIMS]
    return render(request, "desk/claims/words.html", {"rows": rows})


@require_http_methods(["GET", "POST"])
@owner_only
def words_of(request: DeskRequest, claim: str) -> HttpResponse:
    """The words of one claim, to add, change and remove."""
    if claim not in BY_KEY:
        raise Http404
    data = request.POST if request.method == "POST" else None
    rows = word_rows(claim, data)
    if data is not None and rows.is_valid():
        change_words(claim, rows.save, by=request.user, at=timezone.now())
        messages.success(request, f"Words for “{BY_KEY[claim].name}”: saved.")
        return redirect("claim-words-of", claim)
    context = {"claim": BY_KEY[claim], "rows": rows, "said_of": SAID_OF.items()}
    return render(request, "desk/claims/words_of.html", context)
