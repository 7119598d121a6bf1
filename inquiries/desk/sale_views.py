"""The list of sales, one sale, and each deed that can be done to it."""

from collections.abc import Callable
from datetime import datetime

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.desk.consignment_forms import add_reason
from inquiries.desk.money_in_forms import DepositForm
from inquiries.desk.sale_page import context_of, form_of
from inquiries.offers.models import Offer
from inquiries.offers.queries import accepted_for
from inquiries.sales import actions
from inquiries.sales.charging import charge_shipping, take_back
from inquiries.sales.hold_models import Hold
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, for_page, with_rows
from inquiries.sales.rules import stage, usual_deposit
from inquiries.sales.way_rules import SAYS, what_next
from inquiries.shipping.parcel_actions import record_loss
from inquiries.tax.booking import book_tax
from shop.money import Money
from shop.policies.queries import policy_at
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only
from shop.templatetags.trade import moment

ON_A_PAGE = 50

Deed = Callable[[Sale, forms.Form, datetime], object]


@require_safe
@desk
def sales(request: DeskRequest) -> HttpResponse:
    """Every sale, open ones first, then the latest."""
    at = timezone.now()
    rows = with_rows(Sale.objects.all()).order_by(F("ended_at").desc(nulls_first=True), "-opened_at", "-pk")
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    shown = []
    for sale in page:
        facts = facts_of(sale)
        following = SAYS[what_next(facts, at=at)]
        shown.append({"sale": sale, "facts": facts, "stage": stage(facts, at=at), "next": following})
    return render(request, "desk/sales/list.html", {"page_obj": page, "rows": shown, "at": at})


@require_safe
@desk
def sale(request: DeskRequest, sale: str) -> HttpResponse:
    """One sale: how it stands, what is next, its ledger, and the forms that may be used now."""
    found = _found(sale)
    return render(request, "desk/sales/sale.html", context_of(found, user=request.user, at=timezone.now()))


@require_http_methods(["GET", "POST"])
@desk
def deposit(request: DeskRequest, hold: int) -> HttpResponse:
    """Take the first money on a running hold; the sale opens with it."""
    rows = Hold.objects.select_related("contact", "policy", "instrument__kind", "instrument__model__maker")
    found = get_object_or_404(rows, pk=hold)
    form = _deposit_form(found, request.POST if request.method == "POST" else None)
    add_reason(form, found, user=request.user, at=timezone.now())
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            opened = actions.open_sale(
                found,
                price=given["price"],
                shipping=given["shipping"],
                money=given["money"],
                below_reserve=given.get("below_reserve", ""),
                by=request.user,
                at=timezone.now(),
            )
        except Refused as refused:
            form.add_error("price" if refused.code == "below-reserve" else None, refused.message)
        else:
            messages.success(request, f"Sale {opened.number} is open, and the receipt is made.")
            return redirect("sale", opened.number)
    return render(request, "desk/sales/deposit.html", {"form": form, "hold": found})


def _deposit_form(hold: Hold, data: object) -> DepositForm:
    """The price proposed is the asking price, or what the offer that was accepted with this hold comes to."""
    price, currency = hold.instrument.asking_price, hold.instrument.currency
    offer = accepted_for(hold)
    if offer is not None and offer.currency == currency and offer.amount:
        price = offer.amount + (offer.trade_in_value or 0)
    initial = {"price": price}
    if price is not None:
        initial["amount"] = usual_deposit(price, hold.terms.deposit_percent, currency)
    now, zone = timezone.now(), the_shop().zone
    form = DepositForm(
        data,
        currency=currency,
        today=now.astimezone(zone).date(),
        asked=hold.asked_at.astimezone(zone).date(),
        policy=policy_at(now),
        initial=initial,
    )
    if offer is not None:
        form.fields["price"].help_text = _by_offer(offer)
    return form


def _by_offer(offer: Offer) -> str:
    words = f"The offer of {moment(offer.at)} was accepted: {Money(offer.amount, offer.currency)}"
    if not offer.trade_in:
        return f"{words}."
    value = offer.trade_in_value
    counted = "" if value is None else f", counted at {Money(value, offer.currency)}"
    return (
        f"{words}, and a trade-in besides: {offer.trade_in}{counted}. Take it in trade once the sale is open."
    )


@require_POST
@desk
def sale_payment(request: DeskRequest, sale: str) -> HttpResponse:
    """Add money received."""

    def pay(found: Sale, form: forms.Form, at: datetime) -> None:
        actions.record_payment(found, form.cleaned_data["money"], by=request.user, at=at)

    return _done(request, sale, "payment", pay, "The payment is recorded, and its receipt is made.")


@require_POST
@desk
def sale_tax(request: DeskRequest, sale: str) -> HttpResponse:
    """Book the tax that the ledger lacks."""
    try:
        book_tax(_found(sale), by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The tax is booked.")
    return redirect("sale", sale)


@require_POST
@desk
def sale_parcel(request: DeskRequest, sale: str) -> HttpResponse:
    """Record the parcel, or that the buyer took it along."""

    def ship(found: Sale, form: forms.Form, at: datetime) -> None:
        actions.ship(found, form.cleaned_data["shipment"], by=request.user, at=at)

    return _done(request, sale, "parcel", ship, "It is recorded as gone.")


@require_POST
@desk
def sale_parcel_figures(request: DeskRequest, sale: str) -> HttpResponse:
    """Show what the carton that was typed comes to by the carrier's rule; nothing is recorded."""
    found = _found(sale)
    form = form_of("parcel", found, request.POST)
    context = context_of(found, user=request.user, at=timezone.now(), bound={"parcel": form})
    return render(request, "desk/sales/sale.html", context)


@require_POST
@desk
def sale_delivered(request: DeskRequest, sale: str) -> HttpResponse:
    """Record the instant the buyer had it."""

    def deliver(found: Sale, form: forms.Form, at: datetime) -> None:
        given = form.cleaned_data
        when, where = given["delivered_at"], given["zone"]
        signed, note = given["signed_by"], given["note"]
        actions.deliver(
            found, delivered_at=when, zone=where, signed_by=signed, note=note, by=request.user, at=at
        )

    return _done(request, sale, "delivered", deliver, "The delivery is recorded; the approval period runs.")


@require_POST
@desk
def sale_lost(request: DeskRequest, sale: str) -> HttpResponse:
    """The carrier has lost the parcel."""

    def lose(found: Sale, form: forms.Form, at: datetime) -> None:
        what, claim = form.cleaned_data["what"], form.cleaned_data["claim"]
        record_loss(found, what=what, claim=claim, by=request.user, at=at)

    return _done(
        request, sale, "lost", lose, "It is recorded as lost. The owner ends the sale and pays back."
    )


@require_POST
@desk
def sale_close(request: DeskRequest, sale: str) -> HttpResponse:
    """Close the sale."""

    def close(found: Sale, form: forms.Form, at: datetime) -> None:
        actions.close_sale(found, by=request.user, at=at)

    return _done(request, sale, "close", close, "The sale is closed; the instrument is in the sold archive.")


@require_POST
@owner_only
def sale_charge(request: DeskRequest, sale: str) -> HttpResponse:
    """Take back a part of the price, or charge for shipping."""

    def charge(found: Sale, form: forms.Form, at: datetime) -> None:
        given = dict(form.cleaned_data)
        what, amount, below = given.pop("what"), given.pop("amount"), given.pop("below_reserve", "")
        if what == "price":
            take_back(found, amount, below_reserve=below, by=request.user, at=at, **given)
        else:
            charge_shipping(found, amount, by=request.user, at=at, **given)

    return _done(request, sale, "charge", charge, "What is charged is changed.")


@require_POST
@owner_only
def sale_refund(request: DeskRequest, sale: str) -> HttpResponse:
    """Pay back money that came in."""

    def refund(found: Sale, form: forms.Form, at: datetime) -> None:
        actions.refund(found, form.cleaned_data["money"], by=request.user, at=at)

    return _done(request, sale, "refund", refund, "The refund is recorded.")


@require_POST
@owner_only
def sale_reverse(request: DeskRequest, sale: str) -> HttpResponse:
    """Undo a mistaken row by its opposite."""

    def reverse(found: Sale, form: forms.Form, at: datetime) -> None:
        given, row = form.cleaned_data, _row(found, form)
        below = given.get("below_reserve", "")
        actions.reverse_row(row, reason=given["reason"], below_reserve=below, by=request.user, at=at)

    return _done(request, sale, "reverse", reverse, "The row is reversed.")


@require_POST
@owner_only
def sale_end(request: DeskRequest, sale: str) -> HttpResponse:
    """Take the instrument back, or let the sale fall through."""

    def end(found: Sale, form: forms.Form, at: datetime) -> None:
        reason = form.cleaned_data["reason"]
        actions.end_without_sale(
            found, reason=reason, money=form.cleaned_data["money"], by=request.user, at=at
        )

    return _done(
        request,
        sale,
        "end",
        end,
        "The sale has ended. Whoever waits moves up, or is on Today to be told.",
    )


@require_POST
@owner_only
def sale_consignor(request: DeskRequest, sale: str) -> HttpResponse:
    """Pay the consignor's share."""

    def pay(found: Sale, form: forms.Form, at: datetime) -> None:
        actions.pay_consignor(found, method=form.cleaned_data["method"], by=request.user, at=at)

    return _done(request, sale, "consignor", pay, "The consignor’s share is recorded as paid.")


def _found(number: str) -> Sale:
    return get_object_or_404(for_page(Sale.objects.all()), number=number)


def _row(sale: Sale, form: forms.Form) -> LedgerRow:
    row = next((row for row in sale.rows.all() if row.pk == form.cleaned_data["row"]), None)
    if row is None:
        raise Refused("This row is not of this sale. Load the page again.", code="no-such-row")
    return row


def _done(request: DeskRequest, number: str, name: str, deed: Deed, said: str) -> HttpResponse:
    """Do one deed. A form with errors, or a deed refused, comes back with everything typed."""
    found, at = _found(number), timezone.now()
    form = form_of(name, found, request.POST)
    if form.is_valid():
        try:
            deed(found, form, at)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, said)
            return redirect("sale", number)
    context = context_of(_found(number), user=request.user, at=at, bound={name: form})
    return render(request, "desk/sales/sale.html", context)
