"""What a piece that comes back is compared with: its record line by line, and the photographs that were shown."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.models import Instrument, Photograph
from catalog.originality.models import Finding
from catalog.originality.queries import parts_of
from inquiries.sales.models import Sale


@dataclass(frozen=True)
class Compared:
    """One thing to compare: how the form names it, what it is, and what the record says or shows of it."""

    key: str
    what: str
    recorded: str = ""
    photograph: Photograph | None = None


def to_compare(sale: Sale) -> list[Compared]:
    """Numbers, parts, what came with it, and each public view, in the order in which one looks."""
    piece = Instrument.objects.select_related("kind").prefetch_related(
        "kind__parts", "findings__part", "numbers", "included", "photographs__view"
    )
    return list(_lines(piece.get(pk=sale.instrument_id)))


def _lines(piece: Instrument) -> Iterator[Compared]:
    for number in piece.numbers.all():
        yield Compared(f"number-{number.pk}", "Number", str(number))
    words = dict(Finding.State.choices)
    for place, part in enumerate(parts_of(piece)):
        yield Compared(f"part-{place}", part.name, str(words[part.state]))
    for thing in piece.included.all():
        yield Compared(f"with-{thing.pk}", "Comes with it", str(thing))
    shown = [one for one in piece.photographs.all() if one.state == Photograph.State.READY]
    for one in shown:
        yield Compared(f"picture-{one.pk}", one.alt, "", one)
