"""How the date of make is known."""

from dataclasses import dataclass
from typing import Any

from catalog.dating.models import DatingEvidence
from catalog.dating.queries import agreement_told, conclusion_of
from catalog.dating.rules import spoken
from catalog.dating.saying import as_said
from catalog.public.shown.anchors import anchors
from shop.wording import gettext as _
from shop.wording import ngettext


@dataclass(frozen=True)
class DatingPiece:
    """One piece of evidence; `picture` is an anchor on the page, `paper` a title that may be named."""

    says: str
    kind: str
    when: str
    weight: str
    source: str
    picture: str
    paper: str
    against: bool


@dataclass(frozen=True)
class Dating:
    """The date of make with its evidence; `typed` is the dealer's own sentence."""

    stated: str
    typed: str
    sentences: list[str]
    agrees: str
    contradicts: bool
    pieces: list[DatingPiece]

    @property
    def briefly(self) -> str:
        """What the facts say of it, and lead on to; empty when nothing is known of it."""
        many = len(self.pieces)
        if self.contradicts:
            return _("The evidence contradicts itself")
        if many:
            said = ngettext("By one piece of evidence", "By %(many)s pieces of evidence", many)
            return said % {"many": many}
        return _("In our own words") if self.typed else ""


def dating(instrument: Any) -> Dating:
    """All evidence on the date of an instrument that came through catalog.public.queries.pages."""
    rows, conclusion = list(instrument.dating.all()), conclusion_of(instrument)
    places, against = anchors(instrument.ready), {piece.key for piece in conclusion.contradiction}
    return Dating(
        stated=instrument.made_said,
        typed=instrument.made_evidence,
        sentences=spoken(conclusion) if rows else [],
        agrees=agreement_told(instrument, instrument.made_said) if rows else "",
        contradicts=bool(against),
        pieces=[_piece(row, places, row.pk in against) for row in rows],
    )


def _piece(row: DatingEvidence, places: dict[int, str], against: bool) -> DatingPiece:
    paper = row.paper
    return DatingPiece(
        says=row.says,
        kind=row.get_kind_display(),
        when=as_said(row.when, row.when_edtf),
        weight=row.get_weight_display(),
        source=row.source,
        picture=places.get(row.photograph_id or 0, ""),
        paper=paper.title if paper and paper.public else "",
        against=against,
    )
