"""How the stock stands, as the desk lists it."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Q

from catalog.instruments.availability import Availability, annotated, availability_of
from catalog.instruments.models import FoundNumber, Instrument
from catalog.instruments.queries import InstrumentQuerySet
from catalog.papers.actions import FROM_WHOM
from catalog.pictures.models import Photograph
from catalog.pricing.agreement_actions import FIELD as AGREEMENT
from catalog.pricing.work_actions import TERMS_FIELD
from catalog.publishing.readiness import Missing, missing_for_publishing, questions_for_publishing
from shop.history.models import Entry
from shop.history.queries import history_of
from shop.staff.models import User

State = Instrument.State

# What a helper's history leaves out: `costs` and `seller` are written by catalog/pricing/actions.py,
# AGREEMENT and TERMS_FIELD beside it, FROM_WHOM by catalog/papers/actions.py.
OWNERS_FIELDS = ["floor price", "costs", "seller", AGREEMENT, TERMS_FIELD, FROM_WHOM]

STANDINGS = {
    "draft": "Draft",
    "available": "Available",
    "on-hold": "On hold",
    "sold": "Sold",
    "withdrawn": "Withdrawn",
}


@dataclass(frozen=True)
class Standing:
    """One instrument as it stands: key and word of its state, whole days in stock, what is missing."""

    instrument: Instrument
    key: str
    word: str
    days: int
    missing: list[Missing]

    @property
    def lead(self) -> Photograph | None:
        """The picture that stands first, if one is ready."""
        ready: list[Photograph] = self.instrument.ready  # type: ignore[attr-defined]
        return ready[0] if ready else None


def for_the_desk(at: datetime) -> InstrumentQuerySet:
    """Every instrument with all that `standing` reads, in a fixed number of queries."""
    found = annotated(Instrument.objects.all(), at=at).named().with_lead()
    return found.prefetch_related("photographs", "findings", "kind__views").order_by("-stock")


def standing(instrument: Instrument, *, at: datetime) -> Standing:
    """How an instrument that came through `for_the_desk` stands at `at`."""
    availability = availability_of(instrument)
    if availability == Availability.NOT_LISTED:
        key, word = instrument.state, instrument.get_state_display()
    else:
        key, word = availability.name.lower().replace("_", "-"), str(availability)
    unlisted = instrument.state in {State.DRAFT, State.WITHDRAWN}
    missing = missing_for_publishing(instrument) if unlisted else []
    return Standing(instrument, key, word, instrument.days_in_stock(at), missing)


def standing_in_full(instrument: Instrument, *, at: datetime) -> Standing:
    """The same, with what its texts claim and the record does not carry: a few queries more, for one record.

    A listed piece has them too, since its record may have changed after it was published; a sold one stands as it went.
    """
    stands = standing(instrument, at=at)
    if stands.key == State.SOLD:
        return stands
    return replace(stands, missing=[*stands.missing, *questions_for_publishing(instrument)])


def narrowed(instruments: InstrumentQuerySet, state: str, text: str) -> InstrumentQuerySet:
    """Those standing as `state` (a key of STANDINGS, "" for all) whose names or numbers hold `text`."""
    if state in {"available", "on-hold"}:
        taken: dict[str, Any] = {"taken": state == "on-hold"}  # an annotation that the types do not know
        instruments = instruments.filter(state=State.LISTED, **taken)
    elif state:
        instruments = instruments.filter(state=state)
    for word in text.split():
        instruments = instruments.filter(_holds(word))
    return instruments


def _holds(word: str) -> Q:
    numbered = FoundNumber.objects.filter(value__icontains=word).values("instrument")
    found = (
        Q(maker__name__icontains=word)
        | Q(model__name__icontains=word)
        | Q(kind__name__icontains=word)
        | Q(made__icontains=word)
        | Q(pk__in=numbered)
    )
    if word.isascii() and word.isdecimal() and len(word) < 10:
        found |= Q(stock=int(word))
    return found


def history_for(user: User, instrument: Instrument) -> list[Entry]:
    """The record's history, newest first; a helper's is without floor, costs and seller, and from whom a paper came."""
    entries = history_of(instrument)
    return list(entries if user.is_owner else entries.exclude(field__in=OWNERS_FIELDS))
