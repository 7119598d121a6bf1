"""What a piece that comes back is compared with: its record and its photographs as they were when it left.

What was written or photographed later says nothing of what was sold. Where the history tells what stood there, that is
shown; where it does not, the day of the change stands beside the line.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.instruments.actions import rows_as_text
from catalog.instruments.as_it_was import BETWEEN, rows_then
from catalog.models import Instrument, Photograph
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts
from inquiries.sales.models import Sale
from shop.profile.queries import the_shop


@dataclass(frozen=True)
class Compared:
    """One thing to compare: how the form names it, what it is, and what the record says or shows of it."""

    key: str
    what: str
    recorded: str = ""
    photograph: Photograph | None = None


def to_compare(sale: Sale) -> list[Compared]:
    """Numbers, parts, what came with it, and each public view, in the order in which one looks."""
    rows = Instrument.objects.select_related("kind").prefetch_related(
        "kind__parts", "findings__part", "numbers", "included", "photographs__view"
    )
    piece, left = rows.get(pk=sale.instrument_id), sale.shipment.at
    shown = [one for one in piece.photographs.all() if one.state == Photograph.State.READY]
    return [
        *_rows(piece, "numbers", "Number", left),
        *_parts(piece, left),
        *_rows(piece, "included", "Comes with it", left),
        *(Compared(f"picture-{one.pk}", one.alt, "", one) for one in shown if one.received_at <= left),
    ]


def _rows(piece: Instrument, relation: str, what: str, left: datetime) -> Iterator[Compared]:
    """The rows that stood there; one that was changed or removed since as the history tells it."""
    then = rows_then(piece, relation, at=left)
    rows: list[Any] = list(getattr(piece, relation).all())
    told = rows_as_text(piece, relation)
    for row, text in zip(rows, told, strict=True):
        if text in then:
            yield Compared(f"{relation}-{row.pk}", what, str(row))
    for place, text in enumerate(text for text in then if text not in told):
        yield Compared(f"{relation}-then-{place}", what, text.replace(BETWEEN, ", "))


def _parts(piece: Instrument, left: datetime) -> Iterator[Compared]:
    then = rows_then(piece, "findings", at=left, told="originality")
    found = {row.part_id: row for row in piece.findings.all()}
    for place, part in enumerate(leaf_parts(piece)):
        row = found.get(part.pk)
        said = _said(str(part), then)
        yield Compared(f"part-{place}", part.name, _recorded(row, said, left))


def _said(part: str, rows: list[str]) -> str:
    """The word of state that stands behind the name of a part in its row; before the name a date may stand."""
    words = {str(state.label) for state in Finding.State}
    for row in reversed(rows):
        values = row.split(BETWEEN)
        for name, word in itertools.pairwise(values[:3]):
            if name == part and word in words:
                return word
    return str(Finding.State.NOT_EXAMINED.label)


def _recorded(row: Finding | None, said: str, left: datetime) -> str:
    now = row.get_state_display() if row else Finding.State.NOT_EXAMINED.label
    if row is None or row.examined_at <= left:
        return said
    day = f"{row.examined_at.astimezone(the_shop().zone):%-d %B %Y}"
    if said == now:
        return f"{said}; its finding was changed on {day}, after it left"
    return f"{said}; changed to “{now}” on {day}, after it left"
