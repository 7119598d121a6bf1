"""Hold an instrument: one press leads to a page that says to whom and until when, the second does it."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.models import Instrument
from inquiries.desk.actions import Caller, hold_for_caller
from inquiries.desk.hold_forms import CallerHoldForm, HoldForm, ReleaseForm
from inquiries.sales.hold_actions import place_hold, release_hold
from inquiries.sales.hold_models import Hold
from inquiries.sales.promises import Promise, balance_due
from inquiries.sales.prospects import Standing, standing_of
from inquiries.threads.models import Inquiry
from shop.policies.queries import policy_at
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk
from shop.templatetags.trade import moment


@require_http_methods(["GET", "POST"])
@desk
def inquiry_hold(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Confirm a hold for the person of an inquiry, and place it; the `look` button only works out the end again."""
    found = get_object_or_404(Inquiry.objects.select_related("contact"), pk=inquiry)
    instrument = get_object_or_404(Instrument.objects.named(), inquiries=found)
    at = timezone.now()
    form = HoldForm(request.POST if request.method == "POST" else None, policy=policy_at(at))
    if request.method == "POST" and form.is_valid() and "look" not in request.POST:
        promise = form.cleaned_data["promise"]
        try:
            hold = place_hold(
                instrument,
                found,
                hours=promise.hours,
                balance_hours=promise.balance_hours,
                by=request.user,
                at=at,
            )
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            return _placed(request, hold)
    return _confirm(request, instrument, form, found.contact.name, contact=found.contact_id, inquiry=found)


@require_http_methods(["GET", "POST"])
@desk
def hold(request: DeskRequest, stock: int) -> HttpResponse:
    """Say for whom: one of those who have asked, or a caller. A caller is confirmed before the hold is placed."""
    instrument = get_object_or_404(Instrument.objects.named(), stock=stock)
    at = timezone.now()
    form = CallerHoldForm(request.POST or None, policy=policy_at(at))
    if request.method == "GET" or not form.is_valid():
        return _choose(request, instrument, form)
    if "confirmed" not in request.POST:
        return _confirm(request, instrument, form, form.cleaned_data["name"])
    given = form.cleaned_data
    caller = Caller(given["name"], given["email"], given["telephone"])
    try:
        kept = hold_for_caller(instrument, caller, given["promise"], by=request.user, at=at)
    except Refused as refused:
        form.add_error(None, refused.message)
        return _confirm(request, instrument, form, given["name"])
    return _placed(request, kept)


@require_http_methods(["GET", "POST"])
@desk
def hold_release(request: DeskRequest, hold: int) -> HttpResponse:
    """End a hold, or a place in the queue, before its time, with the reason, and by whose word."""
    rows = Hold.objects.select_related("contact", "instrument__kind", "instrument__model__maker")
    found = get_object_or_404(rows, pk=hold)
    form = ReleaseForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            release_hold(found, **form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"{found.contact} no longer holds No. {found.instrument.stock_id}.")
            return redirect("inquiry", found.inquiry_id)
    return render(request, "desk/holds/release.html", {"hold": found, "form": form})


def _choose(request: DeskRequest, instrument: Instrument, form: CallerHoldForm) -> HttpResponse:
    at = timezone.now()
    standing = standing_of(instrument, at=at)
    open_ones = Inquiry.objects.filter(instrument=instrument, done_at__isnull=True)
    asked = open_ones.exclude(contact__in=[hold.contact_id for hold in standing.promised])
    context = {
        "instrument": instrument,
        "inquiries": asked.select_related("contact"),
        "standing": standing,
        "form": form,
        "at": at,
    }
    return render(request, "desk/holds/choose.html", context)


def _confirm(
    request: DeskRequest,
    instrument: Instrument,
    form: HoldForm,
    name: str,
    *,
    contact: int | None = None,
    inquiry: Inquiry | None = None,
) -> HttpResponse:
    at = timezone.now()
    standing = standing_of(instrument, at=at)
    context = {
        "instrument": instrument,
        "form": form,
        "name": name,
        "inquiry": inquiry,
        "standing": standing,
        "known": standing.of(contact) if contact else None,
        **_promised(standing, form),
        "at": at,
    }
    return render(request, "desk/holds/confirm.html", context)


def _promised(standing: Standing, form: HoldForm) -> dict[str, object]:
    """The span that a hold would have, and when deposit and balance would be due."""
    promise = form.cleaned_data.get("promise") if form.is_bound and form.is_valid() else None
    if not form.is_bound:
        promise = Promise(form.policy.hold_hours)
    span: tuple[datetime | None, datetime | None] = standing.span(promise.hours) if promise else (None, None)
    balance = balance_due(span[0], promise.balance_hours) if promise else None
    return {"span": span, "balance_due": balance, "with_deposit": bool(promise and promise.with_deposit)}


def _placed(request: DeskRequest, hold: Hold) -> HttpResponse:
    messages.success(request, said_of_hold(hold))
    return redirect("inquiry", hold.inquiry_id)


def said_of_hold(hold: Hold) -> str:
    """What a hold has come to: theirs until when, or their place in the queue."""
    name, number = hold.contact.name, hold.instrument.stock_id
    if hold.state == Hold.State.ACTIVE and hold.condition == Hold.Condition.DEPOSIT:
        return f"No. {number} is on hold for {name}; the deposit is due by {moment(hold.until)}."
    if hold.state == Hold.State.ACTIVE:
        return f"No. {number} is on hold for {name} until {moment(hold.until)}."
    if hold.starts_at:
        return f"{name} is in the queue for No. {number}; it would be theirs from {moment(hold.starts_at)}."
    return f"{name} is in the queue for No. {number}, should the sale fall through."
