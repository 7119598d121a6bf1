"""Give a maker or a model another name. Its old address goes on leading to it."""

from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from catalog.instruments.addresses import MAKER, MODEL, Places, maker_places, model_places
from catalog.instruments.models import FormerName, Maker, Model
from catalog.instruments.slugs import slug_of
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def rename_maker(maker: Maker, name: str, *, was: str, by: User | None, at: datetime) -> bool:
    """Call the maker `name`, which was called `was` on the page; true when that is another name.

    Refused when another maker has the name, or would stand at the same address, or when it was renamed meanwhile.
    """
    list(Maker.objects.select_for_update().order_by("pk").values_list("pk"))  # one renaming at a time
    others = Maker.objects.exclude(pk=maker.pk)
    places = maker_places()
    return _rename(maker, name, was, others, places, MAKER, {"maker": maker, "model": None}, by=by, at=at)


@transaction.atomic
def rename_model(model: Model, name: str, *, was: str, by: User | None, at: datetime) -> bool:
    """Call the model `name`, as a maker is renamed; only the models of the same maker stand in its way."""
    Maker.objects.select_for_update().get(pk=model.maker_id)
    others = Model.objects.filter(maker=model.maker_id).exclude(pk=model.pk)
    places, former = model_places(model.maker_id), {"maker": model.maker, "model": model}
    return _rename(model, name, was, others, places, MODEL, former, by=by, at=at)


def _rename(
    thing: Any,
    name: str,
    was: str,
    others: Any,
    places: Places,
    otherwise: str,
    former: dict[str, Any],
    *,
    by: User | None,
    at: datetime,
) -> bool:
    if name == was:
        return False
    _refuse_a_taken_name(name, others)
    _refuse_a_taken_address(name, others, places, otherwise)
    _write_name(thing, name, was)
    _keep_the_old_address(places.slugs[thing.pk], slug_of(name, otherwise), former)
    record(thing, "changed", by=by, at=at, field="name", old=was, new=name)
    thing.name = name
    return True


def _refuse_a_taken_name(name: str, others: Any) -> None:
    taken = others.filter(name__iexact=name).first()
    if taken is not None:
        raise Refused(f"“{taken.name}” is in the book already. Write another name.", code="name-taken")


def _refuse_a_taken_address(name: str, others: Any, places: Places, otherwise: str) -> None:
    """A new name never takes the address at which another thing stands, or stood."""
    there = others.filter(pk=places.key_at(slug_of(name, otherwise))).first()
    if there is not None:
        raise Refused(
            f"“{name}” would stand at the address of “{there.name}” on the site. "
            "Write it so that the two can be told apart.",
            code="address-taken",
        )


def _write_name(thing: Any, name: str, was: str) -> None:
    try:
        with transaction.atomic():
            changed = type(thing).objects.filter(pk=thing.pk, name=was).update(name=name)
    except IntegrityError as error:
        raise Refused(f"“{name}” is in the book already. Write another name.", code="name-taken") from error
    if not changed:
        raise Refused(
            "It was renamed after you opened the page. Look at its name now, and rename it again if need be.",
            code="changed-meanwhile",
        )


def _keep_the_old_address(old: str, new: str, former: dict[str, Any]) -> None:
    """The new address is no former one any more, if it ever was."""
    FormerName.objects.filter(slug=new, **former).delete()
    if old != new:
        FormerName.objects.get_or_create(slug=old, **former)
