"""What each public page depends on, and which stamp each shown thing has (shop/kept).

A piece stamps its own page (`piece-1001`), everything shown of all public pieces (`stock`, for the catalogue that is
searched by every word), the cards (`cards`) and those of its maker and its model. Of what pieces share there is one
stamp each: `kinds` for the sheets, `maker-names` for what stands in titles and addresses, `maker-7` for what is known
of a maker and its models, `makers` for which of them are shown, `indexes`, `shop`. `records` is for the dates in the
site map and the feed.
"""

from collections.abc import Collection, Iterable, Iterator
from datetime import datetime

from django.db import models
from django.db.models import Q
from django.http import HttpRequest

from catalog import models as catalog
from catalog.instruments.addresses import maker_places, model_places
from catalog.instruments.availability import next_turn
from catalog.instruments.models import Instrument
from catalog.public.wall import PUBLIC
from shop.kept.hearing import hear_sets, watch
from shop.profile.models import ShopProfile

STREET = {Instrument.State.LISTED, Instrument.State.SOLD}
# Texts that the wall does not name, and that pages are nevertheless drawn from: by consent, or by a rule.
ALSO_SHOWN = {
    "catalog.Provenance": {"person"},
    "catalog.Edition": {"mark"},
    "shop.ShopProfile": {"time_zone"},
}
# Who did what when in the books, which no page shows.
BOOKS = {
    "at", "by", "bytes", "changed_at", "confirmed_by", "examined_at", "examined_by", "loaded_by", "received_at",
    "received_by", "revision", "struck_by",
}  # fmt: skip
LONG_TEXTS = {
    "made_evidence", "condition", "setup", "hear_at", "story", "conversion_when", "conversion_note", "convertible_back",
}  # fmt: skip
# What hangs from a piece and stands on its page; True where its card shows it too.
OF_A_PIECE: dict[type[models.Model], bool] = {
    catalog.FoundNumber: False,
    catalog.Measurement: False,
    catalog.Included: False,
    catalog.Finding: True,
    catalog.Provenance: False,
    catalog.DatingEvidence: False,
    catalog.SeenFeature: False,
    catalog.Unusual: False,
    catalog.Paper: False,
    catalog.Photograph: True,
    catalog.Recording: False,
}
SHEETS = (catalog.Kind, catalog.Configuration, catalog.Part, catalog.Measure, catalog.View)
# What is known of a maker, with the way to the maker's key.
KNOWN_OF_MAKERS: dict[type[models.Model], str] = {
    catalog.NumberTable: "maker_id",
    catalog.NumberRange: "table__maker_id",
    catalog.Feature: "maker_id",
    catalog.UsualFeature: "model__maker_id",
    catalog.ListPrice: "model__maker_id",
    catalog.Model: "maker_id",
    catalog.Maker: "pk",
    catalog.FormerName: "maker_id",
}


def shown_columns(model: type[models.Model]) -> frozenset[str]:
    """The columns of a model that a public page may be drawn from: a text or an amount counts if the wall names it."""
    label = model._meta.label
    named = PUBLIC.get(label, frozenset()) | ALSO_SHOWN.get(label, set())
    return frozenset(
        field.attname
        for field in model._meta.concrete_fields
        if field.name in named or not (_is_private(field) or field.name in BOOKS)
    )


def _is_private(field: models.Field) -> bool:  # type: ignore[type-arg]
    kinds = (models.CharField, models.TextField, models.DecimalField)
    return isinstance(field, kinds) and not field.choices and not field.primary_key


def watch_all() -> None:
    """Watch all that the catalogue shows (called once, at start)."""
    hear_sets()
    _watch_pieces()
    for sheet in SHEETS:
        watch(sheet, shown_columns(sheet), (), lambda: ["kinds"])
    for model, way in KNOWN_OF_MAKERS.items():
        watch(model, shown_columns(model), (way,), lambda maker: ["makers", f"maker-{maker}"])
    watch(catalog.Maker, {"name"}, (), lambda: ["maker-names"])
    watch(catalog.Model, {"name", "maker_id"}, (), lambda: ["maker-names"])
    watch(catalog.FormerName, shown_columns(catalog.FormerName), (), lambda: ["maker-names"])
    watch(catalog.PriceIndex, {*shown_columns(catalog.PriceIndex), "loaded_at"}, (), lambda: ["indexes"])
    watch(catalog.IndexYear, shown_columns(catalog.IndexYear), (), lambda: ["indexes"])
    watch(catalog.Edition, shown_columns(catalog.Edition), (), lambda: ["stock"])
    watch(ShopProfile, shown_columns(ShopProfile), (), lambda: ["shop"])


def _watch_pieces() -> None:
    shown = shown_columns(Instrument)
    watch(Instrument, shown, ("stock_id", "state"), _of_piece)
    watch(Instrument, shown - LONG_TEXTS, ("state", "maker_id", "model_id"), _of_card)
    watch(Instrument, {"maker_id", "model_id", "state", "listed_at"}, (), lambda: ["makers"])
    watch(
        Instrument, {"changed_at", "state"}, ("state",), lambda state: ["records"] if state in STREET else []
    )
    for model, on_card in OF_A_PIECE.items():
        watch_of_piece(model, shown_columns(model), on_card=on_card)


def watch_of_piece(model: type[models.Model], columns: Collection[str], *, on_card: bool) -> None:
    """Watch rows that hang from an instrument; those of other rooms are told here at start."""
    watch(model, columns, ("instrument__stock_id", "instrument__state"), _of_piece)
    if on_card:
        reads = ("instrument__state", "instrument__maker_id", "instrument__model_id")
        watch(model, columns, reads, _of_card)


def _of_piece(stock: int, state: str) -> Iterable[str]:
    return [f"piece-{stock}", "stock"] if state in STREET else [f"piece-{stock}"]


def _of_card(state: str, maker: int | None, model: int | None) -> Iterable[str]:
    return ["cards", f"cards-of-maker-{maker}", f"cards-of-model-{model}"] if state in STREET else []


def of_shop(request: HttpRequest) -> Iterator[str]:
    """A page that is drawn from the shop's profile alone."""
    yield "shop"


def of_cards(request: HttpRequest) -> Iterator[str]:
    """A page of cards."""
    yield from ("shop", "cards", "kinds", "maker-names")


def of_catalogue(request: HttpRequest) -> Iterator[str]:
    """The catalogue: every word of every listed piece may find it."""
    yield from ("shop", "stock", "kinds", "maker-names")


def of_feed(request: HttpRequest) -> Iterator[str]:
    """What was listed last: cards, the beginnings of their stories, and when their records changed."""
    yield from ("shop", "stock", "records", "kinds", "maker-names")


def of_sitemap(request: HttpRequest, **parts: int) -> Iterator[str]:
    """The list of all addresses, with the dates of the records."""
    yield from ("shop", "records", "makers", "maker-names", "stock")


def of_makers(request: HttpRequest, **parts: str) -> Iterator[str]:
    """The list of makers; with `maker_slug`, the page of one or of its model."""
    yield from ("shop", "makers", "maker-names")
    if "maker_slug" in parts:
        yield from ("kinds", "indexes")
        maker = maker_places().key_at(parts["maker_slug"])
        yield from _of_names(maker, None)
        if maker and "model_slug" in parts:
            yield from _of_names(None, model_places(maker).key_at(parts["model_slug"]))


def of_listing(request: HttpRequest, stock: int, slug: str) -> Iterator[str]:
    """One piece's page, with what is known of its maker and the cards beside it."""
    yield from ("shop", f"piece-{stock}", "kinds", "maker-names", "indexes")
    piece = Instrument.objects.filter(stock__number=stock)
    for maker, model, its_maker in piece.values_list("maker_id", "model_id", "model__maker_id"):
        yield from (*_of_names(maker, model), *_of_names(its_maker, None))


def _of_names(maker: int | None, model: int | None) -> Iterator[str]:
    if maker:
        yield from (f"maker-{maker}", f"cards-of-maker-{maker}")
    if model:
        yield f"cards-of-model-{model}"


def turn_of_any(at: datetime, **parts: str) -> datetime | None:
    """The next instant at which a hold on any piece begins or ends by itself."""
    return next_turn(Instrument.objects.all(), at=at)


def turn_of_listing(at: datetime, stock: int, slug: str) -> datetime | None:
    """The next such instant on this piece, or on one by the same maker: their cards stand beside it.

    Those of its model beside it have been sold, so no hold turns on them.
    """
    same_maker = Instrument.objects.filter(stock__number=stock).exclude(maker=None).values("maker")
    return next_turn(Instrument.objects.filter(Q(stock__number=stock) | Q(maker__in=same_maker)), at=at)
