"""Where makers and models stand among the public addresses, now and under their former names."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet
from django.urls import reverse

from catalog.instruments.models import FormerName, Maker, Model
from catalog.instruments.slugs import slugs_for

MAKER, MODEL = "maker", "model"  # for a name of which nothing can stand in an address


@dataclass(frozen=True)
class Places:
    """The slug of each thing by its key, and to which thing each slug leads."""

    slugs: dict[int, str]
    former: dict[str, int]

    def key_at(self, slug: str) -> int | None:
        """The key of what stands at a slug, or once stood there."""
        now = {one: key for key, one in self.slugs.items()}
        return now.get(slug, self.former.get(slug))


def maker_places() -> Places:
    """Every maker, in two queries."""
    former = FormerName.objects.filter(model=None).order_by("pk").values_list("maker_id", "slug")
    return _places(Maker.objects.order_by("pk").values_list("pk", "name"), former, MAKER)


def model_places(maker: int) -> Places:
    """Every model of the maker with that key, in two queries."""
    named = Model.objects.filter(maker=maker).order_by("pk").values_list("pk", "name")
    return _places(named, _former_models().filter(maker=maker).values_list("model_id", "slug"), MODEL)


def all_model_places() -> dict[int, Places]:
    """Every model of every maker, by the maker's key, in two queries."""
    names: defaultdict[int, list[tuple[int, str]]] = defaultdict(list)
    former: defaultdict[int, list[tuple[int, str]]] = defaultdict(list)
    for maker, key, name in Model.objects.order_by("pk").values_list("maker_id", "pk", "name"):
        names[maker].append((key, name))
    for maker, key, slug in _former_models().values_list("maker_id", "model_id", "slug"):
        former[maker].append((key, slug))
    return {maker: _places(named, former[maker], MODEL) for maker, named in names.items()}


def maker_address(maker: Maker) -> str:
    """The public address of a maker."""
    return reverse("maker-page", args=[maker_places().slugs[maker.pk]])


def model_address(model: Model) -> str:
    """The public address of a model."""
    makers, models = maker_places(), model_places(model.maker_id)
    return reverse("model-page", args=[makers.slugs[model.maker_id], models.slugs[model.pk]])


def _former_models() -> "QuerySet[FormerName]":
    return FormerName.objects.exclude(model=None).order_by("pk")


def _places(
    names: Iterable[tuple[int, str]], former: Iterable[tuple[int | None, str]], otherwise: str
) -> Places:
    """A slug that two things were once called leads to the one that was renamed last."""
    leads = {slug: key for key, slug in former if key is not None}
    old: defaultdict[int, list[str]] = defaultdict(list)
    for slug, key in leads.items():
        old[key].append(slug)
    return Places(slugs_for(names, old, otherwise), leads)
