"""Threads found by the words of their letters."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.search.queries import Found
from catalog.search.rules import asked_in
from inquiries.desk.inbox import ALL, lines
from inquiries.search.queries import BEST, ORDERS, find, in_this_order, snippets, still_reading
from inquiries.threads.turn_rules import Turn
from shop.hours.queries import open_week
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, desk

ON_A_PAGE = 25
LONGEST = 200  # characters of what is looked for


@require_safe
@desk
def inquiry_search(request: DeskRequest) -> HttpResponse:
    """Threads that say every word of ?q=, of the list ?show=, in the order ?sort=, a page at a time."""
    text = " ".join(request.GET.get("q", "").replace("\x00", "").split())[:LONGEST]
    names = {ALL: "All", **{turn.value: turn.word for turn in Turn}}
    show = request.GET.get("show", ALL)
    order = request.GET.get("sort", BEST)
    show, order = show if show in names else ALL, order if order in ORDERS else BEST
    finds = find(text, show=show, order=order)
    page = Paginator(finds.keys, ON_A_PAGE).get_page(request.GET.get("page"))
    threads = in_this_order(list(page.object_list))
    places = snippets([thread.pk for thread in threads], finds.found.saying)
    week = open_week(the_shop())
    context = {
        "text": text,
        "show": show,
        "order": order,
        "orders": ORDERS,
        "showing": names[show],
        "lists": [(key, word, finds.counts[key]) for key, word in names.items()],
        "page_obj": page,
        "lines": [(line, places.get(line.inquiry.pk)) for line in lines(threads, week, at=timezone.now())],
        "everywhere": finds.counts[ALL],
        "mistyped": finds.found.read_as,
        "unknown": _unknown(text, finds.found),
        "reading": still_reading(),
    }
    return render(request, "desk/inquiries/search.html", context)


def _unknown(text: str, found: Found) -> list[tuple[str, list[tuple[str, str]]]]:
    """Words that no letter says, each with words that are somewhat like it, and the search with them instead."""
    asked = asked_in(text)
    return [
        (lost, [(said, " ".join(said if word == lost else word for word in asked)) for said in like])
        for lost, like in found.unknown.items()
    ]
