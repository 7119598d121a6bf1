"""A first call at the desk: who seeks the piece and why, the letter, who was told, what they said."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.desk.views.record import find_instrument, find_standing, record_context
from inquiries.answering.letter import marked, named
from inquiries.desk.want_forms import FirstCallForm, LetterForm
from inquiries.threads.stops import Stopped
from inquiries.wants.call_actions import (
    answered,
    end_first_call,
    open_first_call,
    pass_over,
    tell,
    told_otherwise,
)
from inquiries.wants.call_letters import draft
from inquiries.wants.links import links_from
from inquiries.wants.models import Call, FirstCall
from inquiries.wants.showing import shown_first_call
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_http_methods(["GET", "POST"])
@desk
def first_call(request: DeskRequest, stock: int) -> HttpResponse:
    """Who seeks this piece, ranked with the reasons; open a first call, and go on with it."""
    at, instrument = timezone.now(), find_instrument(stock)
    if request.method != "POST":
        return _page(request, stock, FirstCallForm(initial=_usual(stock)))
    form = FirstCallForm(request.POST)
    if not form.is_valid():
        return _page(request, stock, form)
    given = form.cleaned_data

    def deed(as_it_stands: bool) -> None:
        open_first_call(
            instrument,
            hours=given["hours"],
            one_at_a_time=given["one_at_a_time"] == "yes",
            letter=given["letter"],
            links=links_from(request),
            by=request.user,
            at=at,
            as_it_stands=as_it_stands,
        )

    stops = _done(request, form, deed)
    if stops is not None:
        return _page(request, stock, form, **stops)
    messages.success(request, "The first call is open.")
    return redirect("first-call", stock)


def _usual(stock: int) -> dict[str, Any]:
    shop = the_shop()
    return {
        "hours": shop.first_call_hours,
        "one_at_a_time": "yes" if shop.first_call_in_turn else "no",
        "letter": draft(find_instrument(stock), at=timezone.now()),
    }


def _page(request: DeskRequest, stock: int, form: FirstCallForm, **shown: Any) -> HttpResponse:
    at = timezone.now()
    stands = find_standing(stock, at=at)
    context = record_context(request, stands, "")
    about = {"form": form, **shown_first_call(stands.instrument, at=at), **shown}
    return render(request, "desk/wants/first_call.html", {**context, **about})


def _done(request: DeskRequest, form: LetterForm, deed: Callable[[bool], object]) -> dict[str, Any] | None:
    """Do it; None when that went well, otherwise what the page says of the letter."""
    name = named(form.cleaned_data["letter"])
    try:
        deed(request.POST.get("as_it_stands") == name)
    except Stopped as stopped:
        form.add_error("letter", stopped.message)
        return {"text_name": name if marked("", stopped.stops).give_way else ""}
    except Refused as refused:
        form.add_error(None, refused.message)
        return {}
    return None


@require_http_methods(["GET", "POST"])
@desk
def call_tell(request: DeskRequest, call: int) -> HttpResponse:
    """Read the letter, change it, and send it to the next in turn."""
    found = _call(call)
    instrument, shown = found.first_call.instrument, {"text_name": ""}
    form = LetterForm(request.POST or None, initial={"letter": draft(instrument, at=timezone.now())})
    if request.method == "POST" and form.is_valid():
        letter, links, at = form.cleaned_data["letter"], links_from(request), timezone.now()
        stops = _done(
            request,
            form,
            lambda stands: tell(found, letter, links, by=request.user, at=at, as_it_stands=stands),
        )
        if stops is None:
            messages.success(request, f"The letter to {found.want.contact} is on its way.")
            return redirect("first-call", instrument.stock_id)
        shown |= stops
    return render(request, "desk/wants/tell.html", {"form": form, "call": found, **shown})


@require_POST
@desk
def call_told(request: DeskRequest, call: int) -> HttpResponse:
    """They were told by telephone, by letter or in the shop."""
    return _pressed(request, call, told_otherwise, "{} has been told; their time has begun.")


@require_POST
@desk
def call_said(request: DeskRequest, call: int) -> HttpResponse:
    """They want it, or do not."""

    def deed(found: Call, **who: Any) -> object:
        return answered(found, request.POST.get("said", ""), **who)

    return _pressed(request, call, deed, "What {} said is noted.")


@require_POST
@desk
def call_pass(request: DeskRequest, call: int) -> HttpResponse:
    """They are not told at all."""
    return _pressed(request, call, pass_over, "{} is passed over.")


@require_POST
@desk
def first_call_end(request: DeskRequest, first: int) -> HttpResponse:
    """Nobody more is told."""
    found = get_object_or_404(FirstCall.objects.select_related("instrument"), pk=first)
    end_first_call(found, by=request.user, at=timezone.now())
    messages.success(request, "The first call has ended.")
    return redirect("first-call", found.instrument.stock_id)


def _pressed(request: DeskRequest, call: int, deed: Callable[..., object], says: str) -> HttpResponse:
    found = _call(call)
    try:
        deed(found, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, says.format(found.want.contact))
    return redirect("first-call", found.first_call.instrument.stock_id)


def _call(call: int) -> Call:
    piece = "first_call__instrument"
    named_by = (f"{piece}__kind", f"{piece}__maker", f"{piece}__model__maker", "want__contact")
    return get_object_or_404(Call.objects.select_related(*named_by), pk=call)
