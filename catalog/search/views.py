"""The catalogue: what is for sale, narrowed by the address alone."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple, overload

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.public.depends import of_catalogue, turn_of_any
from catalog.public.forms import RENAMED, CatalogueFilter
from catalog.public.queries import PAGE_LENGTH, cards_of
from catalog.public.shown.cards import card
from catalog.public.shown.wording import raised
from catalog.search.narrowing import Band, Narrowed
from catalog.search.rules import asked_in
from catalog.search.shelf import Shelf, the_shelf
from shop.kept.pages import kept
from shop.money import Money
from shop.profile.queries import the_shop
from shop.wording import gettext as _

LONG = 8  # from so many choices a list scrolls
OPEN = ("kind", "originality")


class Row(NamedTuple):
    """One choice of the panel, and how many pieces it would find."""

    id: str
    value: str
    says: str
    group: str
    many: int
    checked: bool


class Part(NamedTuple):
    """One part of the panel: a question with its choices."""

    name: str
    label: str
    rows: list[Row]
    chosen: str
    errors: Any
    open: bool
    long: bool


class Finds(Sequence[int]):
    """The pieces found, as the pager reads them: their number, and a stretch of them."""

    def __init__(self, narrowed: Narrowed) -> None:
        self.narrowed = narrowed

    def __len__(self) -> int:
        return self.narrowed.many

    @overload
    def __getitem__(self, place: int) -> int: ...
    @overload
    def __getitem__(self, place: slice) -> list[int]: ...
    def __getitem__(self, place: int | slice) -> int | list[int]:
        if isinstance(place, slice):
            return self.narrowed.stocks(place.start or 0, len(self) if place.stop is None else place.stop)
        return self.narrowed.stocks(place, place + 1)[0]


@require_safe
@kept(depends_on=of_catalogue, until=turn_of_any, query=[*CatalogueFilter.base_fields, "page"])
def catalogue(request: HttpRequest) -> HttpResponseBase:
    """What is for sale. An address with empty choices becomes a short one."""
    if "" in [value for _name, values in request.GET.lists() for value in values]:
        return redirect(without(request, ""))
    if renamed := RENAMED.get(request.GET.get("originality", "")):
        return redirect(_with(request, "originality", renamed), permanent=True)
    shelf, now, currency = the_shelf(), timezone.now(), the_shop().currency
    if renamed := _renamed_maker(shelf, request.GET.get("maker", "")):
        return redirect(_with(request, "maker", renamed), permanent=True)
    form = CatalogueFilter(request.GET, shelf=shelf, currency=currency)
    narrowed = Narrowed(form.shelf, {**form.narrowing, "sort": form.order}, currency=currency, at=now)
    page = Paginator(Finds(narrowed), PAGE_LENGTH).get_page(request.GET.get("page"))
    chosen = form.chosen
    shown = {
        "form": form,
        "panel_open": bool(form.errors),
        "parts": [_part(form, narrowed, name) for name in form.CHOSEN_FROM],
        "bands": [
            (_band(band, currency), _band_address(request, band), band.many) for band in narrowed.bands()
        ],
        "page_obj": page,
        "cards": [card(row) for row in cards_of(list(page.object_list), at=now)],
        "chosen": [(spoken, without(request, name)) for name, spoken in chosen],
        "looser": [] if narrowed.many else _looser(request, form, now),
        "mistyped": narrowed.text.read_as,
        "unknown": _unknown(request, narrowed),
        "sought": raised("; ".join(spoken for _name, spoken in chosen)),
        "narrowing": request.GET.urlencode(),
    }
    return render(request, "public/catalogue.html", shown)


def _renamed_maker(shelf: Shelf, slug: str) -> str:
    """Where a maker stands now who once stood at this slug; "" for one who stands there, or never did."""
    return "" if slug in shelf.meant["maker"] else shelf.former_makers.get(slug, "")


def _part(form: CatalogueFilter, narrowed: Narrowed, name: str) -> Part:
    """A question with the choices that would find something, and the one that was made."""
    chosen = str(form.narrowing.get(name) or "")
    rows = [
        Row(f"narrow_{name}_{place}", choice.value, choice.says, choice.group, many, choice.value == chosen)
        for place, (choice, many) in enumerate(narrowed.counts(name))
        if many or choice.value == chosen
    ]
    errors = form.errors.get(name, "")
    says = next((row.says for row in rows if row.checked), "")
    return Part(
        name,
        str(form[name].label),
        rows,
        says,
        errors,
        bool(says or errors or name in OPEN),
        len(rows) > LONG,
    )


def _looser(request: HttpRequest, form: CatalogueFilter, at: datetime) -> list[tuple[str, str, int]]:
    """For each choice: how it is spoken, the address without it, and how many would be found there."""
    found = []
    for name, spoken in form.chosen:
        fewer = {key: value for key, value in form.narrowing.items() if key != name}
        many = Narrowed(form.shelf, fewer, currency=form.currency, at=at).many
        found.append((spoken, without(request, name), many))
    return [one for one in found if one[2]]


def _unknown(request: HttpRequest, narrowed: Narrowed) -> list[tuple[str, list[tuple[str, str]]]]:
    """Words that nothing answers to, each with words of ours that are somewhat like it and lead to their finds."""
    asked = asked_in(str(narrowed.chosen.get("q") or ""))
    return [
        (lost, [(said, _with(request, "q", _instead(asked, lost, said))) for said in like])
        for lost, like in narrowed.text.unknown.items()
    ]


def _instead(asked: list[str], lost: str, said: str) -> str:
    return " ".join(said if word == lost else word for word in asked)


def _band(band: Band, currency: str) -> str:
    if band.lowest is None:
        return _("Under %(price)s") % {"price": Money(Decimal(band.highest or 0), currency)}
    lowest = Money(Decimal(band.lowest), currency)
    if band.highest is None:
        return _("%(price)s and over") % {"price": lowest}
    return _("%(first)s to %(last)s") % {"first": lowest, "last": Money(Decimal(band.highest), currency)}


def _band_address(request: HttpRequest, band: Band) -> str:
    """This address with that band; it ends a cent below the next one."""
    query = request.GET.copy()
    for key in ("price_from", "price_to", "page"):
        query.pop(key, None)
    if band.lowest is not None:
        query["price_from"] = str(band.lowest)
    if band.highest is not None:
        query["price_to"] = f"{band.highest - Decimal('0.01')}"
    return f"{request.path}?{query.urlencode()}"


def _with(request: HttpRequest, name: str, value: str) -> str:
    """This address with another choice for `name`."""
    query = request.GET.copy()
    query[name] = value
    return f"{request.path}?{query.urlencode()}"


def without(request: HttpRequest, name: str) -> str:
    """This address without the choice `name`, without empty choices, and on its first page."""
    query = request.GET.copy()
    for key, value in list(query.items()):
        if key in {name, "page"} or not value:
            del query[key]
    return request.path + (f"?{query.urlencode()}" if query else "")
