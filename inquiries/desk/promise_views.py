"""One hold: how it stands, what its person was told; making it longer, and telling them."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.answering.letter import marked, named
from inquiries.desk.hold_forms import ByHandForm, ExtendForm, LetterForm
from inquiries.sales.hold_actions import extend_hold
from inquiries.sales.hold_letters import letter
from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.promises import Promise, balance_due, longer, why_not_longer
from inquiries.sales.prospects import standing_of, with_notices
from inquiries.sales.telling import ended_at, may_be_told, row_of, runs, span_said, stands
from inquiries.sales.telling_actions import note_told, write_to
from inquiries.threads.stops import Stopped
from shop.history.queries import history_of
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk
from shop.templatetags.trade import moment

CHANGES = 40


@require_safe
@desk
def hold_page(request: DeskRequest, hold: int) -> HttpResponse:
    """The whole of one hold, whether or not it still stands."""
    at, found = timezone.now(), _found(hold)
    standing = standing_of(found.instrument, at=at)
    context = {
        "hold": found,
        "row": row_of(found, at=at),
        "standing": standing,
        "others": [row for row in standing.rows if row.hold != found],
        "place": standing.place_of(found),
        "stands": stands(found, at=at),
        "ended_at": ended_at(found, at=at),
        "balance_due": balance_due(found.starts_at, found.balance_hours),
        "notices": list(found.notices.all()),
        "may_be_longer": runs(found, at=at) and not _why_not_longer(found, 1),
        "changes": history_of(found)[:CHANGES],
        "at": at,
    }
    return render(request, "desk/holds/hold.html", context)


@require_http_methods(["GET", "POST"])
@desk
def hold_extend(request: DeskRequest, hold: int) -> HttpResponse:
    """Make a hold longer, once; the `look` button only works out the new end, and who would move back."""
    found, at = _found(hold), timezone.now()
    most = found.terms.extension_hours
    form = ExtendForm(request.POST if request.method == "POST" else {"hours": most or 1})
    form.fields["hours"].help_text = f"{most} at most, by the house policy that the hold was made under."
    valid = form.is_valid()
    if request.method == "POST" and valid and "look" not in request.POST:
        try:
            kept = extend_hold(found, hours=form.cleaned_data["hours"], by=request.user, at=at)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request, f"{kept.contact} has No. {kept.instrument.stock_id} until {moment(kept.until)}."
            )
            return redirect("hold-page", kept.pk)
    hours = form.cleaned_data.get("hours") if valid else None
    never = _why_not_longer(found, 1)  # not even by an hour
    refusal = _why_not_longer(found, hours) if hours else ""
    if refusal and not form.non_field_errors():
        form.add_error(None, refusal)
    standing = standing_of(found.instrument, at=at)
    context = {
        "hold": found,
        "form": form,
        "runs": runs(found, at=at),
        "never": never if request.method == "GET" else "",
        "until": longer(found.until, hours) if hours and found.until and not refusal else None,
        "behind": [row for row in standing.rows if row.hold != found],
        "at": at,
    }
    return render(request, "desk/holds/extend.html", context)


@require_safe
@desk
def hold_tell(request: DeskRequest, hold: int) -> HttpResponse:
    """Tell the person of a hold something of it (?what=): by a letter that is drafted here, or otherwise."""
    return _tell_page(request, _found(hold), request.GET.get("what", ""))


@require_POST
@desk
def hold_write(request: DeskRequest, hold: int) -> HttpResponse:
    """Send the letter."""
    found, form = _found(hold), LetterForm(request.POST)
    if not form.is_valid():
        return _tell_page(request, found, request.POST.get("what", ""), letter=form)
    given = form.cleaned_data
    try:
        write_to(
            found,
            given["what"],
            given["text"],
            span=given["span"],
            entry=given["entry"],
            by=request.user,
            at=timezone.now(),
            as_it_stands=request.POST.get("as_it_stands") == named(given["text"]),
        )
    except Stopped as stopped:
        read = marked(given["text"], stopped.stops)
        shown = {"letter": form, "stopped": read, "text_name": named(given["text"])}
        return _tell_page(request, found, given["what"], **shown)
    except Refused as refused:
        return _tell_page(request, found, given["what"], letter=_again(form, found, refused))
    messages.success(request, f"Your letter to {found.contact} is on its way.")
    return redirect("hold-page", found.pk)


@require_POST
@desk
def hold_told(request: DeskRequest, hold: int) -> HttpResponse:
    """Note that they were told otherwise than by a letter from here."""
    found, form = _found(hold), ByHandForm(request.POST)
    if not form.is_valid():
        return _tell_page(request, found, request.POST.get("what", ""), by_hand=form)
    given = form.cleaned_data
    try:
        note_told(
            found,
            given["what"],
            channel=given["channel"],
            note=given["note"],
            span=given["span"],
            entry=given["entry"],
            by=request.user,
            at=timezone.now(),
        )
    except Refused as refused:
        return _tell_page(request, found, given["what"], by_hand=_again(form, found, refused))
    messages.success(request, f"Noted: {found.contact} has been told.")
    return redirect("hold-page", found.pk)


def _found(hold: int) -> Hold:
    rows = Hold.objects.select_related(
        "contact",
        "inquiry",
        "policy",
        "by",
        "instrument__kind",
        "instrument__maker",
        "instrument__model__maker",
    )
    return get_object_or_404(with_notices(rows), pk=hold)


def _why_not_longer(hold: Hold, hours: int) -> str:
    promise = Promise(hold.hours, hold.balance_hours)
    return why_not_longer(promise, hold.terms, by_hours=hours, extended_hours=hold.extended_hours)


def _again(form: forms.Form, hold: Hold, refused: Refused) -> forms.Form:
    """The form with all that was typed, the reason, and the span as it stands now, which the page shows."""
    form.data = form.data.copy()  # type: ignore[attr-defined]
    form.data["span"] = span_said(Hold.objects.get(pk=hold.pk))  # type: ignore[index]
    form.add_error(None, refused.message)
    return form


def _tell_page(request: DeskRequest, hold: Hold, what: str, **shown: Any) -> HttpResponse:
    at = timezone.now()
    choices = may_be_told(hold, at=at)
    chosen = HoldNotice.What(what) if what in choices else choices[-1]
    place = standing_of(hold.instrument, at=at).place_of(hold)
    known = {"what": chosen.value, "span": span_said(hold)}
    text = letter(hold, chosen, the_shop(), place=place)
    context = {
        "hold": hold,
        "row": row_of(hold, at=at),
        "what": chosen,
        "choices": choices,
        "letter": LetterForm(initial=known | {"text": text}),
        "by_hand": ByHandForm(initial=known),
    }
    return render(request, "desk/holds/tell.html", context | shown)
