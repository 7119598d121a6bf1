"""Makers and models: the sourced facts, and the pieces that are or were here."""

from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.instruments.addresses import Places, maker_places, model_places
from catalog.instruments.models import Instrument, Maker, Model
from catalog.instruments.queries import InstrumentQuerySet
from catalog.pricing.queries import indexes_in_use
from catalog.public import maker_queries as find
from catalog.public.depends import of_makers, turn_of_any
from catalog.public.queries import PAGE_LENGTH, cards, first_cards
from catalog.public.shown import makers as shown
from catalog.public.shown.cards import Card, card
from catalog.public.shown.makers import MakerPage, ModelPage, Pieces
from shop.kept.pages import kept

SOME = 8  # pieces of each sort on a maker's page; its models and the archive have them all


@require_safe
@kept(depends_on=of_makers)
def makers_list(request: HttpRequest) -> HttpResponse:
    """Every maker the public may read of, by name."""
    slugs, counts, models = maker_places().slugs, find.counts_by("maker"), find.models_by_maker()
    lines = [shown.maker_line(row, slugs, counts, models.get(row.pk, 0)) for row in find.makers_shown()]
    return render(request, "public/makers.html", {"makers": lines})


@require_safe
@kept(depends_on=of_makers, until=turn_of_any)
def maker_page(request: HttpRequest, maker_slug: str) -> HttpResponseBase:
    """One maker. An old address leads to the one where it stands now."""
    maker, slug = _maker_at(maker_slug)
    if slug != maker_slug:
        return redirect("maker-page", slug, permanent=True)
    return _answer(request, "public/maker.html", maker=_of_maker(maker, slug, timezone.now()))


@require_safe
@kept(depends_on=of_makers, until=turn_of_any, query=["page"])
def model_page(request: HttpRequest, maker_slug: str, model_slug: str) -> HttpResponseBase:
    """One model. An old address of it or of its maker leads to the one where it stands now."""
    maker, now_maker = _maker_at(maker_slug)
    places = model_places(maker.pk)
    model = find.models_shown().filter(pk=places.key_at(model_slug) or 0, maker=maker)
    found = model.select_related("maker").prefetch_related("usual", "list_prices").first()
    if found is None:
        raise Http404
    if (now_maker, places.slugs[found.pk]) != (maker_slug, model_slug):
        return redirect("model-page", now_maker, places.slugs[found.pk], permanent=True)
    sold = _sold_page(request, found)
    page = _of_model(found, reverse("model-page", args=[maker_slug, model_slug]), sold, timezone.now())
    return _answer(request, "public/model.html", model=page, page_obj=sold)


def _answer(request: HttpRequest, template: str, **context: Any) -> HttpResponse:
    return render(request, template, {**context, "address": request.build_absolute_uri(request.path)})


def _maker_at(slug: str) -> tuple[Maker, str]:
    """The maker that stands or once stood at a slug, and the slug where it stands now."""
    places: Places = maker_places()
    maker = find.makers_shown().filter(pk=places.key_at(slug) or 0).first()
    if maker is None:
        raise Http404
    return maker, places.slugs[maker.pk]


def _of_maker(maker: Maker, slug: str, at: datetime) -> MakerPage:
    counts, places = find.counts_by("model", maker=maker), model_places(maker.pk)
    many = find.Counts(sum(one.listed for one in counts.values()), sum(one.sold for one in counts.values()))
    query = urlencode({"maker": slug})
    return MakerPage(
        name=maker.name,
        under=shown.of_maker(maker),
        note=maker.note,
        models=[
            shown.model_line(row, slug, places.slugs, counts)
            for row in find.models_shown().filter(maker=maker)
        ],
        numbers=[shown.numbers(table) for table in find.tables_shown(maker)],
        features=shown.dated_features(find.features_of_maker(maker)),
        pieces=Pieces(
            for_sale=_cards(Instrument.objects.listed().filter(maker=maker), SOME, at),
            sold=_cards(Instrument.objects.archived().filter(maker=maker), SOME, at),
            counts=many,
            all_for_sale=f"{reverse('catalogue')}?{query}" if many.listed > SOME else "",
            all_sold=f"{reverse('sold')}?{query}" if many.sold > SOME else "",
        ),
    )


def _of_model(model: Model, address: str, sold: Page[Instrument], at: datetime) -> ModelPage:
    listed = Instrument.objects.listed().filter(model=model)
    return ModelPage(
        name=model.name,
        maker=model.maker.name,
        maker_address=address.rstrip("/").rpartition("/")[0] + "/",
        under=shown.of_maker(model.maker),
        usual=shown.usual_things(model),
        prices=shown.prices(model, indexes_in_use()),
        features=shown.dated_features(model.features.select_related("model")),
        pieces=Pieces(
            for_sale=_cards(listed, PAGE_LENGTH, at),
            sold=[card(row) for row in sold.object_list],
            counts=find.Counts(listed.count(), sold.paginator.count),
        ),
    )


def _sold_page(request: HttpRequest, model: Model) -> Page[Instrument]:
    archived = cards(Instrument.objects.archived().filter(model=model), at=timezone.now())
    return Paginator(archived, PAGE_LENGTH).get_page(request.GET.get("page"))


def _cards(instruments: InstrumentQuerySet, most: int, at: datetime) -> list[Card]:
    return [card(row) for row in first_cards(instruments, most, at=at)]
