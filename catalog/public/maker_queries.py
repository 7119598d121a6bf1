"""Which makers and models the public may read of, and what is shown of them.

A maker that stands in unpublished records alone tells what the shop has bought. So one is shown when a piece by it is
public, or when the shop has published facts about it and no record that was never listed bears its name.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, Max, Min, OuterRef, Prefetch, Q, QuerySet
from django.urls import reverse

from catalog.dating.models import Feature, NumberRange, NumberTable
from catalog.features.models import UsualFeature
from catalog.instruments.addresses import all_model_places, maker_places
from catalog.instruments.models import Instrument, Maker, Model
from catalog.pricing.models import ListPrice

MOST_LINES = 200  # of one table of numbers: a page is read, not searched


@dataclass(frozen=True)
class Counts:
    """How many public pieces there are."""

    listed: int
    sold: int


def makers_shown() -> QuerySet[Maker]:
    """Every maker the public may read of, by name."""
    facts = [
        NumberTable.objects.filter(maker=OuterRef("pk"), retired_at=None),
        Feature.objects.filter(maker=OuterRef("pk")),
        UsualFeature.objects.filter(model__maker=OuterRef("pk")),
        ListPrice.objects.filter(model__maker=OuterRef("pk")),
    ]
    return Maker.objects.filter(_shown("maker", facts))


def models_shown() -> QuerySet[Model]:
    """Every model the public may read of, by name; its maker is one of `makers_shown`."""
    facts = [
        Feature.objects.filter(model=OuterRef("pk")),
        UsualFeature.objects.filter(model=OuterRef("pk")),
        ListPrice.objects.filter(model=OuterRef("pk")),
    ]
    return Model.objects.filter(_shown("model", facts), maker__in=makers_shown().order_by())


def _shown(named: str, facts: Iterable[QuerySet[Any]]) -> Q:
    with_the_name = Instrument.objects.filter(**{named: OuterRef("pk")}).order_by()
    public, unpublished = with_the_name.public(), with_the_name.exclude(state="sold").filter(listed_at=None)
    known = Q(pk__in=[])
    for rows in facts:
        known |= Q(Exists(rows.order_by()))
    return Q(Exists(public)) | (known & ~Q(Exists(unpublished)))


def counts_by(named: str, **narrowed: Any) -> dict[int | None, Counts]:
    """How many public pieces bear each maker's or model's name, by its key, in one query."""
    rows = Instrument.objects.public().filter(**narrowed).order_by().values_list(named, "state")
    found = Counter({(key, state): many for key, state, many in rows.annotate(many=Count("pk"))})
    return {key: Counts(found[key, "listed"], found[key, "sold"]) for key, _ in found}


def models_by_maker() -> dict[int, int]:
    """How many models of each maker are shown, by the maker's key."""
    rows = models_shown().order_by().values_list("maker").annotate(many=Count("pk"))
    return dict(rows)


def tables_shown(maker: Maker) -> list[Any]:
    """The tables in use of a maker's numbers, each with its `first_lines`, and what they all come to."""
    lines = NumberRange.objects.order_by("prefix", "first", "pk")[:MOST_LINES]
    tables = maker.number_tables.filter(retired_at=None).order_by("what", "source", "pk")
    return list(
        tables.prefetch_related(Prefetch("ranges", queryset=lines, to_attr="first_lines")).annotate(
            many=Count("ranges"), earliest=Min("ranges__when_earliest"), latest=Max("ranges__when_latest")
        )
    )


def features_of_maker(maker: Maker) -> list[Feature]:
    """Dated features of every model of the maker, and of each model that is shown."""
    of = Q(model=None) | Q(model__in=models_shown().order_by())
    return list(maker.features.filter(of).select_related("model"))


def name_addresses() -> list[str]:
    """The address of every maker and model that is shown, each maker's models after it."""
    makers, models, named = maker_places().slugs, all_model_places(), defaultdict(list)
    for model in models_shown():
        named[model.maker_id].append(models[model.maker_id].slugs[model.pk])
    found = []
    for maker in makers_shown():
        slug = makers[maker.pk]
        found.append(reverse("maker-page", args=[slug]))
        found += [reverse("model-page", args=[slug, model]) for model in named[maker.pk]]
    return found
