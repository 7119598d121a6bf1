"""Write down what was seen by the model's list, and what is made of a difference."""

from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from django.db import transaction

from catalog.features.models import SeenFeature, Unusual
from catalog.features.rules import key_of
from catalog.instruments.actions import change_rows
from catalog.instruments.models import Instrument
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from shop.staff.models import User


class Judgement(NamedTuple):
    """What is made of a difference: of the value `seen`, and of no other."""

    seen: str
    verdict: str
    evidence: str = ""
    photograph: Photograph | None = None
    paper: Paper | None = None


@transaction.atomic
def keep_features(
    instrument: Instrument,
    seen: Mapping[str, str],
    judged: Mapping[str, Judgement | None],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> bool:
    """Set what was `seen` ("" takes it away) and what was `judged` (None takes it away), by what it concerns.

    What neither names stays as it is. True when something differs; one history entry for each of the two.
    """

    def save_seen() -> None:
        known = {key_of(row.what): row for row in SeenFeature.objects.filter(instrument=instrument)}
        for what, value in seen.items():
            row = known.get(key_of(what)) or SeenFeature(instrument=instrument, what=what)
            _set_seen(row, value)

    def save_judged() -> None:
        rows = Unusual.objects.filter(instrument=instrument).select_related("photograph", "paper")
        known = {key_of(row.what): row for row in rows}
        for what, judgement in judged.items():
            row = known.get(key_of(what)) or Unusual(instrument=instrument, what=what)
            _set_judged(row, judgement, by=by, at=at)

    saw = change_rows(
        instrument, "seen_features", save_seen, by=by, at=at, revision=revision, told="what was seen"
    )
    # The first change has moved the revision on by itself.
    judged_anew = change_rows(
        instrument,
        "unusual",
        save_judged,
        by=by,
        at=at,
        revision=None if saw else revision,
        told="what is unusual",
    )
    return saw or judged_anew


def _set_seen(row: SeenFeature, value: str) -> None:
    if not value:
        if row.pk:
            row.delete()
    elif row.value != value:
        row.value = value
        row.save()


def _set_judged(row: Unusual, judgement: Judgement | None, *, by: User | None, at: datetime) -> None:
    """The same judgement again leaves its author and its instant alone."""
    if judgement is None:
        if row.pk:
            row.delete()
    elif row.pk is None or _judgement_of(row) != judgement:
        for column, value in judgement._asdict().items():
            setattr(row, column, value)
        row.by, row.at = by, at
        row.save()


def _judgement_of(row: Unusual) -> Judgement:
    return Judgement(row.seen, row.verdict, row.evidence, row.photograph, row.paper)
