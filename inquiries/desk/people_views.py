"""The people: the list, one person with every way to reach them, and what they asked for, bought and own."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.cash.panel import cash_of
from inquiries.people.actions import (
    add_email,
    change_contact,
    keep_place,
    note_owned,
    remove_email,
    remove_owned,
    remove_place,
    write_to,
)
from inquiries.people.forms import ContactForm, EmailForm, OwnedForm, PlaceForm
from inquiries.people.models import Contact, Merge, OtherAddress, OwnedPiece, PostalAddress, Want
from inquiries.people.places import country_name, envelope, language_names
from inquiries.people.queries import looked_for, perhaps_also, stands_for
from inquiries.people.telephones import shown
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.queries import IN_FORCE
from inquiries.threads.models import Inquiry
from inquiries.threads.queries import in_order_of_waiting
from inquiries.wants.queries import STATED, calls_of_people, stated
from inquiries.wants.showing import line_of
from shop.history.queries import history_of
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk

ON_A_PAGE = 50
CHANGES = 40
UNREADABLE = (
    "The telephone number is kept as you typed it. It could not be read as a number, "
    "so it is shown as it stands, and who calls from it is not recognised."
)


@require_safe
@desk
def people(request: DeskRequest) -> HttpResponse:
    """Everybody, or those that are looked for, by name; a page of them costs the same number of queries always."""
    typed, home = request.GET.get("q", "").strip(), the_shop().country
    page = Paginator(looked_for(typed, home=home), ON_A_PAGE).get_page(request.GET.get("page"))
    for contact in page:
        contact.number = dialled(contact, home)  # type: ignore[attr-defined]
        contact.where = country_name(contact.country)  # type: ignore[attr-defined]
    return render(request, "desk/people/list.html", {"page_obj": page, "typed": typed})


@require_http_methods(["GET", "POST"])
@desk
def contact(request: DeskRequest, contact: int) -> HttpResponse:
    """One person; somebody who was merged leads to whom they went into."""
    found = get_object_or_404(Contact, pk=contact)
    if found.merged_into_id:
        kept = stands_for(found)
        messages.info(request, f"{found} was merged into {kept}, whose page this is.")
        return redirect("contact", kept.pk)
    form = None if found.erased_at else ContactForm(request.POST or None, instance=found)
    if form and request.method == "POST" and form.is_valid():
        try:
            kept = change_contact(found, form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("email", refused.message)
        else:
            messages.success(request, f"What is known of {kept} is saved.")
            if kept.telephone and not kept.telephone_e164:
                messages.warning(request, UNREADABLE)
            return redirect("contact", contact)
    return contact_page(request, contact, form=form)


def contact_page(request: DeskRequest, contact: int, **forms: Any) -> HttpResponse:
    """The page of a person; `forms` are those that came back with something to mend."""
    found, home = get_object_or_404(Contact, pk=contact), the_shop().country
    merged = Merge.objects.filter(kept=found, undone_at__isnull=True).select_related("gone", "by")
    context = {
        "contact": found,
        "number": dialled(found, home),
        "unreadable": found.telephone and not found.telephone_e164,
        "spoken": language_names(found.languages),
        "lines": envelope(found.address, found.country, at=home),
        "where": country_name(found.country),
        "today": timezone.localdate(),
        "emails": found.other_addresses.order_by("email"),
        "places": [
            (place, envelope(place.lines, place.country, at=home)) for place in found.postal_addresses.all()
        ],
        "perhaps": perhaps_of(found),
        "merged": merged,
        "form": ContactForm(instance=found),
        "email_form": EmailForm(auto_id="more_%s"),
        "place_form": PlaceForm(auto_id="place_%s"),
        "owned_form": OwnedForm(auto_id="owned_%s"),
        **dealings_of(found),
        **cash_of(found, request.user, timezone.now()),
        "history": history_of(found, *(one.gone for one in merged))[:CHANGES],
    }
    return render(request, "desk/people/contact.html", context | forms)


def dealings_of(contact: Contact) -> dict[str, Any]:
    """Threads, holds, sales, wishes, first calls, and what they own by what was sold to them."""
    at = timezone.now()
    named = "instrument__kind", "instrument__maker", "instrument__model__maker"
    sales = list(Sale.objects.filter(contact=contact).select_related(*named))
    return {
        "inquiries": in_order_of_waiting(Inquiry.objects.filter(contact=contact)),
        "holds": Hold.objects.filter(contact=contact, state__in=IN_FORCE).select_related(*named),
        "sales": sales,
        "bought": [sale for sale in sales if sale.outcome == Sale.Outcome.CLOSED],
        "owned": contact.owned.all(),
        "wants": wants_of(contact),
        "calls": [line_of(call, at=at) for call in calls_of_people([contact.pk])],
    }


def wants_of(contact: Contact) -> list[tuple[Want, list[str]]]:
    """Each wish of a person with what it states."""
    currency = the_shop().currency
    return [(want, stated(want, currency)) for want in contact.wants.select_related(*STATED)]


def perhaps_of(contact: Contact) -> list[dict[str, Any]]:
    """Who else this may be, with the reasons."""
    if contact.erased_at:
        return []
    alike = {
        one.second if one.first == contact.pk else one.first: one.reasons for one in perhaps_also(contact)
    }
    return [{"other": other, "reasons": alike[other.pk]} for other in Contact.objects.filter(pk__in=alike)]


def dialled(contact: Contact, home: str) -> str:
    """The number as it is dialled from the shop."""
    return shown(contact.telephone, at=home, country=contact.country or home)


@require_POST
@desk
def email_add(request: DeskRequest, contact: int) -> HttpResponse:
    """Keep one more e-mail address."""
    found, form = get_object_or_404(Contact, pk=contact), EmailForm(request.POST, auto_id="more_%s")
    if form.is_valid():
        try:
            add_email(found, form.cleaned_data["email"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("email", refused.message)
        else:
            messages.success(request, f"{found} is known by this address as well.")
            return redirect("contact", contact)
    return contact_page(request, contact, email_form=form)


@require_POST
@desk
def email_first(request: DeskRequest, address: int) -> HttpResponse:
    """Mail goes to this one from now on."""
    other = get_object_or_404(OtherAddress.objects.select_related("contact"), pk=address)
    try:
        write_to(other, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"Mail to {other.contact} goes to {other.email} from now on.")
    return redirect("contact", other.contact_id)


@require_POST
@desk
def email_remove(request: DeskRequest, address: int) -> HttpResponse:
    """They no longer write from it."""
    other = get_object_or_404(OtherAddress.objects.select_related("contact"), pk=address)
    remove_email(other, by=request.user, at=timezone.now())
    messages.success(request, f"{other.email} is removed.")
    return redirect("contact", other.contact_id)


@require_POST
@desk
def place_add(request: DeskRequest, contact: int) -> HttpResponse:
    """Keep one more postal address."""
    found = get_object_or_404(Contact, pk=contact)
    form = PlaceForm(request.POST, instance=PostalAddress(contact=found), auto_id="place_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            keep_place(PostalAddress(contact=found), given, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"The address “{given['label']}” is kept.")
            return redirect("contact", contact)
    return contact_page(request, contact, place_form=form)


@require_http_methods(["GET", "POST"])
@desk
def place(request: DeskRequest, place: int) -> HttpResponse:
    """Mend a postal address, or remove it."""
    found = get_object_or_404(PostalAddress.objects.select_related("contact"), pk=place)
    contact = found.contact
    if request.method == "POST" and "remove" in request.POST:
        remove_place(found, by=request.user, at=timezone.now())
        messages.success(request, f"The address “{found.label}” is removed.")
        return redirect("contact", contact.pk)
    form = PlaceForm(request.POST or None, instance=get_object_or_404(PostalAddress, pk=place))
    if request.method == "POST" and form.is_valid():
        try:
            keep_place(found, form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"The address “{found.label}” is saved.")
            return redirect("contact", contact.pk)
    return render(request, "desk/people/place.html", {"contact": contact, "place": found, "form": form})


@require_POST
@desk
def owned_add(request: DeskRequest, contact: int) -> HttpResponse:
    """Note a piece that they own."""
    found, form = get_object_or_404(Contact, pk=contact), OwnedForm(request.POST, auto_id="owned_%s")
    if form.is_valid():
        given = form.cleaned_data
        try:
            note_owned(found, given["what"], given["note"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"Noted: {found} owns {given['what']}.")
            return redirect("contact", contact)
    return contact_page(request, contact, owned_form=form)


@require_POST
@desk
def owned_remove(request: DeskRequest, owned: int) -> HttpResponse:
    """They have it no longer."""
    found = get_object_or_404(OwnedPiece.objects.select_related("contact"), pk=owned)
    remove_owned(found, by=request.user, at=timezone.now())
    messages.success(request, f"{found.contact} no longer owns {found.what}.")
    return redirect("contact", found.contact_id)
