"""Say who made an instrument: makers and models are found by name, and added when they are new."""

from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.instruments.actions import change_record
from catalog.instruments.models import Instrument, Maker, Model
from shop.history.actions import record
from shop.staff.models import User


@transaction.atomic
def identify(
    instrument: Instrument,
    maker: str,
    model: str,
    values: dict[str, Any],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> list[str]:
    """Set maker and model by their names ("" for unknown) and the other `values`; the changed fields' names.

    Refused as `change_record` is; a name added for a refused change is not kept.
    """
    known_maker = maker_called(maker, by=by, at=at)
    known_model = model_called(known_maker, model, by=by, at=at) if known_maker else None
    named = {"maker": known_maker, "model": known_model, **values}
    return change_record(instrument, named, by=by, at=at, revision=revision)


def maker_called(name: str, *, by: User | None, at: datetime) -> Maker | None:
    """The maker of that name, whatever its capitals; added when new; None for no name."""
    if not name:
        return None
    known = Maker.objects.filter(name__iexact=name).first()
    if known is not None:
        return known
    maker, new = Maker.objects.get_or_create(name=name)
    if new:
        record(maker, "added", by=by, at=at, new=maker)
    return maker


def model_called(maker: Maker, name: str, *, by: User | None, at: datetime) -> Model | None:
    """The maker's model of that name, whatever its capitals; added when new; None for no name."""
    if not name:
        return None
    known = maker.models.filter(name__iexact=name).first()
    if known is not None:
        return known
    model, new = Model.objects.get_or_create(maker=maker, name=name)
    if new:
        record(model, "added", by=by, at=at, new=model)
    return model
