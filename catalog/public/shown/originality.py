"""What was found, part by part, and the word on the whole."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from catalog.dating.reading import typed_as_said
from catalog.dating.saying import as_said
from catalog.instruments.models import Instrument, Part
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts, parts_of
from catalog.originality.rules import (
    MEANING,
    NEVER_FITTED,
    NOT_EXAMINED,
    PartFound,
    Word,
    examined,
    exceptions,
    lying,
    spoken,
)
from shop.wording import gettext as _
from shop.wording import gettext_lazy, inside, shipped

WITHOUT_HEADING = gettext_lazy("Further parts")
UNCHANGED = {Finding.State.ORIGINAL, Finding.State.NEVER_FITTED, Finding.State.UNKNOWN}
CERTAINTY = {
    Finding.Certainty.LIKELY: gettext_lazy("likely, not certain"),
    Finding.Certainty.DOUBTFUL: gettext_lazy("in doubt"),
}
BACK = {
    Instrument.ConvertibleBack.YES: gettext_lazy("It can be converted back, with nothing to undo in wood."),
    Instrument.ConvertibleBack.HARDLY: gettext_lazy("It can be converted back only with new work."),
    Instrument.ConvertibleBack.NO: gettext_lazy("It cannot be converted back."),
    Instrument.ConvertibleBack.UNKNOWN: gettext_lazy("Whether it can be converted back is not known."),
}


@dataclass(frozen=True)
class Told:
    """A sentence, and whether it is the dealer’s own, which stands in no other language."""

    text: str
    own: bool = False


@dataclass(frozen=True)
class FoundPart:
    """One part that was looked at; `picture` is the place on the page of the picture that shows it."""

    name: str
    state: str
    word: str
    doubt: str
    when: str
    told: tuple[Told, ...]
    evidence: str
    note: str
    kept: str
    picture: str

    @property
    def how(self) -> str:
        """How we know, in one line."""
        return " ".join(sentence.text for sentence in self.told)


@dataclass(frozen=True)
class Conversion:
    """From what into what it was converted, and the way back."""

    made: str
    stands: str
    when: str
    note: str
    back: str
    kept: list[str]


@dataclass(frozen=True)
class Originality:
    """All that was found: by groups of the sheet, with what has not been looked at."""

    word: str
    says: str
    meaning: str
    exceptions: list[str]
    groups: list[tuple[str, list[FoundPart]]]
    examined: int
    parts: int
    never_fitted: int
    not_examined: list[str]
    conversion: Conversion | None


def originality(instrument: Any) -> Originality:
    """All findings of an instrument that came through catalog.public.queries.pages."""
    parts, word = parts_of(instrument), Word(instrument.word)
    made, stands = _name_of(instrument.configuration_made), _name_of(instrument.configuration_now)
    many, of = examined(parts)
    return Originality(
        word=word.value,
        says=spoken(word, parts, made=made, stands=stands),
        meaning=str(MEANING[word]),
        exceptions=exceptions(parts),
        groups=_groups(instrument),
        examined=many,
        parts=of,
        never_fitted=sum(part.state == NEVER_FITTED for part in parts),
        not_examined=[inside(shipped(part.name)) for part in parts if part.state == NOT_EXAMINED],
        conversion=_conversion(instrument, made, stands, parts) if instrument.converted else None,
    )


def _name_of(row: Any) -> str:
    return shipped(row.name) if row else ""


def _conversion(instrument: Instrument, made: str, stands: str, parts: Iterable[PartFound]) -> Conversion:
    return Conversion(
        made=inside(made),
        stands=inside(stands),
        when=typed_as_said(instrument.conversion_when),
        note=instrument.conversion_note,
        back=str(BACK[Instrument.ConvertibleBack(instrument.convertible_back)])
        if instrument.convertible_back
        else "",
        kept=[lying(part) for part in parts if part.kept],
    )


def _groups(instrument: Any) -> list[tuple[str, list[FoundPart]]]:
    """The parts that were looked at, under their headings."""
    known = {row.part_id: row for row in instrument.findings.all() if row.state != NOT_EXAMINED}
    places = _places(instrument.ready)
    looked_at = [part for part in leaf_parts(instrument) if part.pk in known]
    return [
        (heading, [_found_part(part, known[part.pk], places) for part in parts])
        for heading, parts in groupby(
            looked_at, key=lambda part: shipped(part.parent.name) if part.parent else str(WITHOUT_HEADING)
        )
    ]


def _places(ready: Iterable[Any]) -> dict[int, str]:
    """Where on the page each photograph stands: the lead one first, the others by their numbers."""
    return {photograph.pk: f"picture-{number}" for number, photograph in enumerate(ready)}


def _found_part(part: Part, row: Finding, places: dict[int, str]) -> FoundPart:
    return FoundPart(
        name=shipped(part.name),
        state=row.state,
        word=row.get_state_display(),
        doubt=str(CERTAINTY.get(Finding.Certainty(row.certainty), "")),
        when="" if row.state in UNCHANGED else as_said(row.when, row.when_edtf),
        told=_told(row),
        evidence=row.evidence,
        note=row.note,
        kept=_kept(row),
        picture=places.get(row.photograph_id or 0, ""),
    )


def _told(row: Finding) -> tuple[Told, ...]:
    """“Seen with a loupe. Bone, not ebony. By a paper: repair invoice of 1970.”"""
    seen, named = row.get_seen_display(), row.paper.title if row.paper and row.paper.public else ""
    own = Told(row.evidence, own=True)
    if named and row.seen == Finding.Seen.PAPER:
        sentences = [Told(_("%(what)s: %(text)s") % {"what": seen, "text": named}), own]
    else:
        sentences = [Told(seen), own, Told(_("By a paper: %(paper)s") % {"paper": named} if named else "")]
    return tuple(Told(_sentence(one.text), one.own) for one in sentences if one.text)


def _sentence(words: str) -> str:
    return words if words.endswith((".", "!", "?", "…")) else f"{words}."


def _kept(row: Finding) -> str:
    if not row.original_kept:
        return ""
    where = row.original_where.rstrip(".")
    if not where:
        return _("The original comes with it.")
    return _("The original comes with it, %(where)s.") % {"where": inside(where)}
