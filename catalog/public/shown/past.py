"""Where it has been, as the public may read it."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.provenance.models import Provenance


@dataclass(frozen=True)
class PastEntry:
    """One public entry of the provenance; a gap has no text of its own."""

    when: str
    what: str
    text: str
    gap: bool


def past(rows: Iterable[Provenance]) -> list[PastEntry]:
    """Entries with a public text, and gaps; an entry with a private note alone stays at the desk."""
    gap = Provenance.Kind.OUT_OF_SIGHT
    return [
        PastEntry(row.when, row.get_kind_display(), row.public, row.kind == gap)
        for row in rows
        if row.public or (row.kind == gap and not row.private)
    ]
