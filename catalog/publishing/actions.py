"""The two deeds between the desk and the street: publish, withdraw."""

from datetime import datetime

from django.db import transaction

from catalog.instruments.actions import move
from catalog.instruments.availability import annotated
from catalog.instruments.models import Instrument
from catalog.publishing import waiting
from catalog.publishing.readiness import stops_publishing
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User

State = Instrument.State


@transaction.atomic
def publish(instrument: Instrument, *, by: User | None, at: datetime, all_the_same: str = "") -> None:
    """Put a draft, or a piece taken down, on the public side; Refused while something is missing.

    Refused as well while somebody has been promised a first word on it (catalog/publishing/waiting.py), unless
    `all_the_same` says why it goes out before; that is kept.
    """
    missing = stops_publishing(Instrument.objects.select_for_update().get(pk=instrument.pk))
    if missing:
        raise Refused(
            "It cannot be published yet: " + "; ".join(item.says for item in missing) + ".", code="missing"
        )
    waited_for = waiting.waited_for(instrument, at=at)
    if waited_for and not all_the_same:
        raise Refused(
            "A first call is open. " + " ".join(waited_for) + " To publish it all the same, say why.",
            code="waited-for",
        )
    move(instrument, [State.DRAFT, State.WITHDRAWN], State.LISTED, by=by, at=at)
    if waited_for:
        record(instrument, "published all the same", by=by, at=at, new=all_the_same)
    waiting.published(instrument, by=by, at=at)


@transaction.atomic
def withdraw(instrument: Instrument, *, by: User | None, at: datetime) -> None:
    """Take a listed piece off the public side; Refused while somebody has a hold or a sale on it."""
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if annotated(Instrument.objects.all(), at=at).get(pk=instrument.pk).taken:  # type: ignore[attr-defined]
        raise Refused("Somebody has a hold or a sale on it. End that first, then take it down.", code="taken")
    move(instrument, [State.LISTED], State.WITHDRAWN, by=by, at=at)
