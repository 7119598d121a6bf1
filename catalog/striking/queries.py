"""What was struck off a record; no question to the database when it was fetched with `with_struck`."""

from typing import Any

from django.db.models import Prefetch, QuerySet

from catalog.dating.models import DatingEvidence
from catalog.instruments.models import Instrument
from catalog.provenance.models import Provenance
from catalog.striking.models import Strikeable

# The relations of a record whose rows can be struck off; each is a section of that name too.
STRIKEABLE: dict[str, type[DatingEvidence | Provenance]] = {
    "dating": DatingEvidence,
    "provenance": Provenance,
}


def with_struck(relation: str) -> "Prefetch[Any]":
    """For `prefetch_related`: what of that relation was struck off and not confirmed."""
    return Prefetch(relation, queryset=_waiting(relation), to_attr=_fetched(relation))


def waiting_of(instrument: Instrument, relation: str) -> list[Any]:
    """What of that relation was struck off and not confirmed, in the order of the strikings."""
    fetched: list[Any] | None = getattr(instrument, _fetched(relation), None)
    if fetched is not None:
        return fetched
    return list(_waiting(relation).filter(instrument=instrument))


def struck_of(instrument: Instrument, relation: str) -> list[Strikeable]:
    """All that was struck off, confirmed or not, the last one first."""
    rows = STRIKEABLE[relation].every.filter(instrument=instrument, struck_at__isnull=False)
    return list(rows.select_related("struck_by", "confirmed_by").order_by("-struck_at", "-pk"))


def _waiting(relation: str) -> QuerySet[Any]:
    return STRIKEABLE[relation].every.waiting().select_related("paper")


def _fetched(relation: str) -> str:
    return f"struck_{relation}"
