"""What stands beside a piece: others of its model that passed through here, and more by its maker."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.urls import reverse

from catalog.instruments.addresses import maker_places, model_places
from catalog.instruments.models import Instrument
from catalog.public.queries import first_cards
from catalog.public.shown.cards import Card, card

MOST = 4  # a row of plates on a wide page


@dataclass(frozen=True)
class Neighbours:
    """The addresses of a piece's maker and model, empty while it is not public itself; and pieces near to it."""

    maker_address: str
    model_address: str
    of_model: list[Card]
    of_maker: list[Card]


def neighbours(instrument: Any, *, at: datetime) -> Neighbours:
    """What stands beside an instrument: sold ones of its model; by its maker what is for sale, then what is sold."""
    maker, model = instrument.maker_id, instrument.model_id
    gone = Instrument.objects.archived().filter(model=model).exclude(pk=instrument.pk)
    of_model = first_cards(gone, MOST, at=at) if model else []
    others = Instrument.objects.public().filter(maker=maker).order_by("state", "-listed_at", "-stock")
    rest = others.exclude(pk__in=[instrument.pk, *(row.pk for row in of_model)])
    of_maker = first_cards(rest, MOST, at=at) if maker else []
    maker_address, model_address = _addresses(instrument) if instrument.is_public and maker else ("", "")
    return Neighbours(
        maker_address, model_address, [card(row) for row in of_model], [card(row) for row in of_maker]
    )


def _addresses(instrument: Any) -> tuple[str, str]:
    maker = maker_places().slugs[instrument.maker_id]
    address = reverse("maker-page", args=[maker])
    if not instrument.model_id:
        return address, ""
    model = model_places(instrument.maker_id).slugs[instrument.model_id]
    return address, reverse("model-page", args=[maker, model])
