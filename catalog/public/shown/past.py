"""Where it has been, as the public may read it."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.dating.saying import as_said
from catalog.instruments.models import Instrument
from catalog.provenance.models import Provenance
from catalog.provenance.queries import disagree, gaps_of, spans
from catalog.provenance.rules import Gap, names_in, untold
from catalog.public.shown.papers import paper_in_words
from shop.wording import gettext as _
from shop.wording import gettext_lazy

Kind = Provenance.Kind

NOTHING_KNOWN = gettext_lazy("Nothing is known")
DISAGREEMENT = gettext_lazy("The dates of these entries do not agree; we show what each source says.")


@dataclass(frozen=True)
class PastEntry:
    """One public entry of the provenance, with the paper that backs it if that may be named; or a gap."""

    when: str
    what: str
    text: str
    gap: bool
    paper: str = ""


def past(instrument: Instrument) -> list[PastEntry]:
    """What may be told, in the dealer's order, and the years of which nothing is known, where they fall.

    An entry with a private note alone stays at the desk, and so does a name without a consent. The years of such
    an entry count as known all the same: of them it cannot be said that nothing is.
    """
    shown = _shown(instrument.provenance.all())
    if not shown:
        return []
    told = [(row.when_earliest or row.when_latest, _entry(row)) for row in shown]
    for gap in untold(gaps_of(instrument), spans(shown)):
        told.insert(_place(gap, told), (gap.first, PastEntry(str(gap), str(NOTHING_KNOWN), "", True)))
    return [entry for _year, entry in told]


def past_disagrees(instrument: Instrument) -> str:
    """A sentence when two of the entries that are shown cannot both be true; otherwise ""."""
    return str(DISAGREEMENT) if disagree(instrument, _shown(instrument.provenance.all())) else ""


def _shown(rows: Iterable[Provenance]) -> list[Provenance]:
    return [row for row in rows if row.public or _who(row) or _silent(row)]


def _silent(row: Provenance) -> bool:
    """Out of sight, with nothing to be said of it."""
    return row.kind == Kind.OUT_OF_SIGHT and not row.private


def _who(row: Provenance) -> str:
    """Whom it names: nobody without a consent."""
    return row.person if row.consent_on else ""


def _entry(row: Provenance) -> PastEntry:
    return PastEntry(
        as_said(row.when, row.when_edtf),
        _what(row),
        row.public,
        row.kind == Kind.OUT_OF_SIGHT,
        paper_in_words(row.paper),
    )


def _what(row: Provenance) -> str:
    kind, who = str(row.get_kind_display()), _who(row)
    if not who or names_in(row.public, who):
        return kind
    if row.kind == Kind.OWNED:
        return _("Owned by %(who)s") % {"who": who}
    return _("%(what)s, %(who)s") % {"what": kind, "who": who}


def _place(gap: Gap, told: list[tuple[int | None, PastEntry]]) -> int:
    """Before the first entry that begins after the gap has begun."""
    later = (place for place, (year, _entry_) in enumerate(told) if year is not None and year > gap.first)
    return next(later, len(told))
