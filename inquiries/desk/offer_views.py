"""Offers: note one, accept it with a hold in one step, end it, and the list of them."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.models import Instrument
from inquiries.desk.consignment_forms import below_reserve
from inquiries.desk.hold_views import said_of_hold
from inquiries.desk.offer_forms import EndOfferForm, OfferForm
from inquiries.desk.offer_panel import all_shown, said_of, shown
from inquiries.desk.thread_page import thread_of, thread_page
from inquiries.offers import actions
from inquiries.offers.models import Offer
from inquiries.offers.queries import given, open_offers, with_costs
from inquiries.offers.queries import offers as every_offer
from inquiries.sales.prospects import standing_of
from shop.policies.queries import policy_at
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk

ON_A_PAGE = 50


@require_safe
@desk
def offers(request: DeskRequest) -> HttpResponse:
    """Open offers, the one that lapses next first; with ?show=all every one; with ?stock= those for one piece."""
    at, everything = timezone.now(), request.GET.get("show") == "all"
    found = every_offer() if everything else open_offers(at)
    piece = _piece(request.GET.get("stock", ""))
    if piece is not None:
        found = found.filter(instrument=piece)
    page = Paginator(with_costs(found) if request.user.is_owner else found, ON_A_PAGE).get_page(
        request.GET.get("page")
    )
    context = {
        "page_obj": page,
        "rows": all_shown(page, user=request.user, at=at),
        "everything": everything,
        "piece": piece,
        "at": at,
    }
    return render(request, "desk/offers/list.html", context)


@require_POST
@desk
def offer_new(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Note an offer of the person of a thread."""
    found = thread_of(inquiry)
    if found.instrument is None:
        raise Http404
    form = OfferForm(request.POST, currency=found.instrument.currency)
    if form.is_valid():
        try:
            offer = actions.make_offer(found, **form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("until" if refused.code == "gone-by" else None, refused.message)
        else:
            messages.success(request, f"Noted: {said_of(offer)} Nothing was sent.")
            return redirect("inquiry", inquiry)
    return thread_page(request, found, offer_form=form)


@require_http_methods(["GET", "POST"])
@desk
def offer_accept(request: DeskRequest, offer: int) -> HttpResponse:
    """Say what accepting comes to; the press accepts and holds. Where another has the piece, the page says so first."""
    found = _found(request, offer)
    refusal = ""
    if request.method == "POST":
        behind = request.POST.get("behind") == "yes"
        why = " ".join(request.POST.get("below_reserve", "").split())[:300]
        try:
            hold = actions.accept(found, behind=behind, below_reserve=why, by=request.user, at=timezone.now())
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(
                request, f"The offer is accepted. {said_of_hold(hold)} Nothing was sent: let them know."
            )
            return redirect("inquiry", found.inquiry_id)
    return _confirm(request, found, refusal)


@require_POST
@desk
def offer_decline(request: DeskRequest, offer: int) -> HttpResponse:
    """We do not take it."""
    return _ended(request, offer, actions.decline, "The offer is declined. Nothing was sent: let them know.")


@require_POST
@desk
def offer_take_back(request: DeskRequest, offer: int) -> HttpResponse:
    """They do not give it any more."""
    return _ended(request, offer, actions.take_back, "The offer is taken back.")


def _ended(request: DeskRequest, offer: int, deed: Any, said: str) -> HttpResponse:
    found, form = _found(request, offer), EndOfferForm(request.POST)
    if not form.is_valid():
        messages.error(request, f"Nothing was saved. {form.errors['reason'][0]}")
        return redirect("inquiry", found.inquiry_id)
    try:
        deed(found, reason=form.cleaned_data["reason"], by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, said)
    return redirect("inquiry", found.inquiry_id)


def _confirm(request: DeskRequest, offer: Offer, refusal: str) -> HttpResponse:
    at = timezone.now()
    standing = standing_of(offer.instrument, at=at)
    contact = offer.inquiry.contact
    context = {
        "row": shown(offer, user=request.user, at=at),
        "instrument": offer.instrument,
        "contact": contact,
        "in_the_way": actions.in_the_way(standing, contact),
        "own_hold": standing.of(contact.pk),
        "until": standing.span(policy_at(at).hold_hours)[1],
        "refusal": refusal,
        "below": below_reserve(offer.instrument, given(offer).whole, user=request.user, at=at),
        "why_below": request.POST.get("below_reserve", ""),
        "others": open_offers(at).filter(instrument=offer.instrument).exclude(inquiry__contact=contact),
        "at": at,
    }
    return render(request, "desk/offers/accept.html", context)


def _found(request: DeskRequest, offer: int) -> Offer:
    rows = every_offer()
    return get_object_or_404(with_costs(rows) if request.user.is_owner else rows, pk=offer)


def _piece(stock: str) -> Instrument | None:
    if not stock.isascii() or not stock.isdigit() or len(stock) > 9:
        return None
    return Instrument.objects.named().filter(stock=int(stock)).first()
