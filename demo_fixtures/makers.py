"""The invented makers: their models, and the shop's own tables, features and price lists for them."""

from decimal import Decimal
from functools import partial
from typing import Any

from catalog.dating.actions import change_features, load_table
from catalog.dating.models import Feature
from catalog.dating.reading import read_date
from catalog.dating.tables import TableLine
from catalog.features.models import UsualFeature
from catalog.instruments.models import Kind, Maker, Measure, Model
from catalog.pricing.models import ListPrice
from demo_fixtures.clock import Clock
from shop.models import User

Row = dict[str, Any]
A_YEAR_AND_MORE = 500  # days: the tables were there before the first instrument of the year


def load_makers(makers: list[Row], *, owner: User, clock: Clock) -> None:
    """Enter every maker with all that the shop keeps on paper about its work."""
    at = clock.at(A_YEAR_AND_MORE)
    for row in makers:
        maker = Maker.objects.create(
            **{name: row.get(name, "") for name in ("name", "town", "years", "note")}
        )
        models = {
            model["name"]: Model.objects.create(maker=maker, name=model["name"]) for model in row["models"]
        }
        for model in row["models"]:
            _add_usual(models[model["name"]], model)
            _add_list_prices(models[model["name"]], model)
        for table in row.get("number_tables", []):
            load_table(maker, table["what"], table["source"], _lines(table), by=owner, at=at)
        change_features(maker, partial(_add_features, row, models), by=owner, at=at)


def _lines(table: Row) -> list[TableLine]:
    return [
        TableLine(number, prefix, first, last, read_date(made), page)
        for number, (prefix, first, last, made, page) in enumerate(table["ranges"], start=2)
    ]


def _add_features(row: Row, models: dict[str, Model]) -> None:
    maker = Maker.objects.get(name=row["name"])
    for feature in row.get("features", []):
        Feature.objects.create(maker=maker, **feature | {"model": models.get(feature.get("model", ""))})


def _add_usual(model: Model, row: Row) -> None:
    kind = Kind.objects.get(slug=row["kind"])
    for usual in row.get("usual", []):
        measure = Measure.objects.get(kind=kind, slug=usual["measure"]) if "measure" in usual else None
        UsualFeature.objects.create(model=model, **usual | {"measure": measure})


def _add_list_prices(model: Model, row: Row) -> None:
    for price in row.get("list_prices", []):
        ListPrice.objects.create(model=model, **price | {"amount": Decimal(price["amount"])})
