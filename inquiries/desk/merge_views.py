"""Two contacts that may be one person: shown with the reasons, merged, told apart, or parted again."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.desk.people_views import dialled
from inquiries.people.merge_actions import merge, tell_apart, undo
from inquiries.people.models import Contact, Merge
from inquiries.people.places import country_name, language_names
from inquiries.people.queries import as_people, perhaps_one, with_dealings
from inquiries.people.rules import reasons
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk

ON_A_PAGE = 30


@require_safe
@desk
def alike(request: DeskRequest) -> HttpResponse:
    """Every two people who may be one."""
    page = Paginator(perhaps_one(), ON_A_PAGE).get_page(request.GET.get("page"))
    keys = {key for pair in page for key in (pair.first, pair.second)}
    people = with_dealings(Contact.objects.filter(pk__in=keys)).in_bulk()
    pairs = [{"one": people[p.first], "other": people[p.second], "reasons": p.reasons} for p in page]
    merges = Merge.objects.filter(undone_at__isnull=True).select_related("kept", "gone", "by")[:ON_A_PAGE]
    return render(request, "desk/people/alike.html", {"page_obj": page, "pairs": pairs, "merges": merges})


@require_http_methods(["GET", "POST"])
@desk
def contact_merge(request: DeskRequest, contact: int, other: int) -> HttpResponse:
    """Lay two side by side, and let everything of `other` be `contact`'s."""
    kept, gone = get_object_or_404(Contact, pk=contact), get_object_or_404(Contact, pk=other)
    refusal = ""
    if request.method == "POST":
        try:
            merge(kept, gone, by=request.user, at=timezone.now())
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, f"{gone} and {kept} are one person now. It can be undone below.")
            return redirect("contact", contact)
    people = with_dealings(Contact.objects.filter(pk__in=[contact, other])).in_bulk()
    either = {person.key: person for person in as_people(Contact.objects.filter(pk__in=people))}
    same = contact == other
    context = {
        "kept": kept,
        "gone": gone,
        "refusal": "A person cannot be merged with themselves." if same else refusal,
        "reasons": [] if same else reasons(either[contact], either[other]),
        "rows": [] if same else _side_by_side(people[contact], people[other]),
    }
    return render(request, "desk/people/merge.html", context)


@require_POST
@desk
def contact_apart(request: DeskRequest, contact: int, other: int) -> HttpResponse:
    """They are two people."""
    one, another = get_object_or_404(Contact, pk=contact), get_object_or_404(Contact, pk=other)
    try:
        tell_apart(one, another, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{one} and {another} are two people, and are not suggested again.")
    return redirect("people-alike") if "from-list" in request.POST else redirect("contact", contact)


@require_POST
@desk
def merge_undo(request: DeskRequest, merge: int) -> HttpResponse:
    """Give back to each what was theirs."""
    found = get_object_or_404(Merge.objects.select_related("kept", "gone"), pk=merge)
    try:
        undo(found, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{found.kept} and {found.gone} are two people again.")
    return redirect("contact", found.kept_id)


def _side_by_side(*people: Contact) -> list[dict[str, Any]]:
    home = the_shop().country
    said = {
        "Name": [one.name for one in people],
        "E-mail": [one.email for one in people],
        "Telephone": [dialled(one, home) for one in people],
        "Postal address": [one.address for one in people],
        "Country": [country_name(one.country) for one in people],
        "Languages": [", ".join(language_names(one.languages)) for one in people],
        "Resale certificate": [one.resale_certificate for one in people],
        "Private note": [one.note for one in people],
        "Threads": [one.threads for one in people],  # type: ignore[attr-defined]
        "Pieces bought": [one.bought for one in people],  # type: ignore[attr-defined]
    }
    return [{"what": what, "values": values} for what, values in said.items() if any(values)]
