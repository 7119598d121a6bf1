"""What a public page shows: plain values drawn from a record. Templates never see the record itself."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from catalog.instruments.availability import Availability, availability_of
from catalog.instruments.grades import MEANING
from catalog.instruments.models import Instrument, Part
from catalog.originality.models import Finding
from catalog.originality.rules import NOT_EXAMINED, Claim, briefly, spoken
from catalog.pictures.models import Photograph
from catalog.provenance.models import Provenance
from shop.money import Money

TYPES = {"avif": "image/avif", "webp": "image/webp"}
MIDDLE = 800  # pixels: the print that is named when a browser knows no srcset


@dataclass(frozen=True)
class Source:
    """One <source> of a picture."""

    type: str
    srcset: str


@dataclass(frozen=True)
class Picture:
    """A photograph in every form it is served in; width and height in pixels are those of `src`."""

    sources: tuple[Source, ...]
    src: str
    srcset: str
    full: str
    width: int
    height: int
    alt: str
    view: str
    caption: str


@dataclass(frozen=True)
class Card:
    """One instrument among others; maker and model are empty where the name is not made of them."""

    stock: int
    address: str
    name: str
    maker: str
    model: str
    made: str
    setout: str
    state: str
    price: str
    claim: str
    picture: Picture | None


@dataclass(frozen=True)
class FoundPart:
    """One examined part."""

    name: str
    state: str
    word: str
    evidence: str
    note: str


@dataclass(frozen=True)
class Originality:
    """All that was found: by groups of the sheet, with what has not been looked at."""

    claim: str
    groups: list[tuple[str, list[FoundPart]]]
    examined: int
    parts: int
    not_examined: list[str]


@dataclass(frozen=True)
class PastEntry:
    """One public entry of the provenance; a gap has no text of its own."""

    when: str
    what: str
    text: str
    gap: bool


@dataclass(frozen=True)
class Listing:
    """One instrument's page."""

    card: Card
    title: str
    kind: str
    maker: str
    maker_of: str
    maker_note: str
    model: str
    made_evidence: str
    made_as: str
    stands_as: str
    converted: bool
    story: str
    condition: str
    grade: str
    grade_meaning: str
    setup: str
    numbers: list[tuple[str, str, str, str]]
    measurements: list[tuple[str, str]]
    included: list[str]
    originality: Originality
    provenance: list[PastEntry]
    pictures: list[Picture]
    waiting: int

    @property
    def sold(self) -> bool:
        """Whether it has gone."""
        return self.card.state == Availability.SOLD

    @property
    def held(self) -> bool:
        """Whether somebody has it on hold, or is buying it."""
        return self.card.state == Availability.ON_HOLD

    @property
    def can_be_asked_about(self) -> bool:
        """Whether the ask form stands on the page."""
        return self.held or self.card.state == Availability.AVAILABLE

    @property
    def lead(self) -> Picture | None:
        """The lead picture."""
        return self.pictures[0] if self.pictures else None

    @property
    def further(self) -> list[Picture]:
        """All pictures but the lead one."""
        return self.pictures[1:]


def picture(photograph: Photograph) -> Picture:
    """A photograph whose prints are ready."""
    widths = [int(width) for width in photograph.widths]
    middle = min(widths, key=lambda width: abs(width - MIDDLE))
    return Picture(
        sources=tuple(Source(kind, _srcset(photograph, widths, suffix)) for suffix, kind in TYPES.items()),
        src=photograph.address(middle, "jpg"),
        srcset=_srcset(photograph, widths, "jpg"),
        full=photograph.address(photograph.largest, "jpg"),
        width=middle,
        height=photograph.height_at(middle),
        alt=photograph.alt,
        view=photograph.view.name if photograph.view else "",
        caption=photograph.caption,
    )


def _srcset(photograph: Photograph, widths: list[int], suffix: str) -> str:
    return ", ".join(f"{photograph.address(width, suffix)} {width}w" for width in widths)


def card(instrument: Any) -> Card:
    """An instrument that came through catalog.public.queries.cards or .pages."""
    ready, model = instrument.ready, instrument.model
    return Card(
        stock=instrument.stock_id,
        address=instrument.get_absolute_url(),
        name=instrument.name,
        maker=model.maker.name if model else "",
        model=model.name if model else "",
        made=instrument.made,
        setout=_setout(instrument),
        state=availability_of(instrument).value,
        price=_price(instrument),
        claim=briefly(Claim(instrument.claim), instrument.exceptions),
        picture=picture(ready[0]) if ready else None,
    )


def _setout(instrument: Instrument) -> str:
    """Banjo, five-string; but of the mandolin family a mandola is a mandola, and a ukulele banjo says it is one."""
    kind, now = instrument.kind.name, instrument.configuration_now
    if now and (kind.endswith(" family") or kind.lower() in now.name.lower()):
        return now.name
    return f"{kind}, {_lowered(now.name)}" if now else kind


def _raised(words: str) -> str:
    return words[:1].upper() + words[1:]


def _lowered(name: str) -> str:
    return name[:1].lower() + name[1:]


def _price(instrument: Instrument) -> str:
    """What a piece went for is between the shop and the buyer, so a sold one has no price."""
    if instrument.state == Instrument.State.SOLD:
        return ""
    if instrument.asking_price is None:
        return "Price on request"
    return str(Money(instrument.asking_price, instrument.currency))


def listing(instrument: Any, *, waiting: int) -> Listing:
    """An instrument that came through catalog.public.queries.pages; `waiting` people come after the hold."""
    maker = instrument.maker
    return Listing(
        card=card(instrument),
        title=instrument.title,
        kind=instrument.kind.name,
        maker=maker.name if maker else "",
        maker_of=", ".join(filter(None, [maker.town, maker.years])) if maker else "",
        maker_note=maker.note if maker else "",
        model=instrument.model.name if instrument.model else "",
        made_evidence=instrument.made_evidence,
        made_as=_name_of(instrument.configuration_made),
        stands_as=_name_of(instrument.configuration_now),
        converted=instrument.converted,
        story=instrument.story,
        condition=instrument.condition,
        grade=instrument.get_grade_display(),
        grade_meaning=MEANING.get(instrument.grade, ""),
        setup=instrument.setup,
        numbers=[_number(row) for row in instrument.numbers.all()],
        measurements=[(row.measure.name, _raised(row.shown)) for row in instrument.measurements.all()],
        included=[row.what for row in instrument.included.all()],
        originality=_originality(instrument),
        provenance=_provenance(instrument.provenance.all()),
        pictures=[picture(photograph) for photograph in instrument.ready],
        waiting=waiting,
    )


def _name_of(row: Any) -> str:
    return row.name if row else ""


def _number(row: Any) -> tuple[str, str, str, str]:
    return row.get_what_display(), row.value, row.where, row.get_legibility_display()


def _originality(instrument: Any) -> Originality:
    leaves = _leaves(instrument.kind.parts.all())
    findings = [row for row in instrument.findings.all() if row.state != NOT_EXAMINED]
    examined = {row.part_id for row in findings}
    missing = [part.name for part in leaves if part.pk not in examined]
    return Originality(
        claim=spoken(Claim(instrument.claim), [(row.part.name, row.state) for row in findings]),
        groups=_groups(findings),
        examined=len(leaves) - len(missing),
        parts=len(leaves),
        not_examined=[_lowered(name) for name in missing],
    )


def _leaves(parts: Iterable[Part]) -> list[Part]:
    """The parts that are examined; those with children are headings."""
    parts = list(parts)
    headings = {part.parent_id for part in parts}
    return [part for part in parts if part.pk not in headings]


def _groups(findings: Iterable[Finding]) -> list[tuple[str, list[FoundPart]]]:
    rows = groupby(findings, key=lambda row: row.part.parent.name if row.part.parent else row.part.name)
    return [(group, [_found_part(row) for row in found]) for group, found in rows]


def _found_part(row: Finding) -> FoundPart:
    return FoundPart(row.part.name, row.state, row.get_state_display(), row.evidence, row.note)


def _provenance(rows: Iterable[Provenance]) -> list[PastEntry]:
    """Entries with a public text, and gaps; an entry with a private note alone stays at the desk."""
    gap = Provenance.Kind.OUT_OF_SIGHT
    return [
        PastEntry(row.when, row.get_kind_display(), row.public, row.kind == gap)
        for row in rows
        if row.public or (row.kind == gap and not row.private)
    ]
