"""A record as the rules of the claims read it, and what its texts claim."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from catalog.claims.models import ClaimAnswer, ClaimWord
from catalog.claims.naming import Names, PartCalled, names_of
from catalog.claims.record import (
    Judgement,
    KnownEntry,
    KnownPaper,
    KnownPart,
    KnownStruck,
    KnownUnusual,
    Record,
    Verdict,
)
from catalog.claims.rules import BY_KEY, CLAIMS, Claim, judge
from catalog.claims.words import Found, Pattern, find_claims, patterns
from catalog.dating.queries import evidence_of
from catalog.features.queries import differences_of
from catalog.instruments.models import Instrument
from catalog.instruments.queries import InstrumentQuerySet
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts, parts_of
from catalog.provenance.models import Provenance
from catalog.striking.queries import waiting_of, with_struck
from shop.wording import day_of

# An entry of the provenance is itself where ownership is stated, so it is not judged by the provenance.
STATED_THERE = {"provenance": frozenset({"one-owner", "original-owner"})}
# The texts that buyers read: the field of the record, the section it is written in, and what it is called.
TEXTS = (
    ("story", "story", "story"),
    ("condition", "condition", "condition"),
    ("setup", "setup", "set-up"),
    ("conversion_note", "conversion", "conversion"),
    ("made_evidence", "identity", "date of make"),
)


def with_claims(instruments: InstrumentQuerySet) -> InstrumentQuerySet:
    """Instruments with all that `record_of` and `read_texts` read, in a fixed number of queries."""
    return instruments.named().prefetch_related(
        "kind__parts",
        "findings",
        "dating",
        with_struck("dating"),
        "papers",
        "provenance__paper",
        with_struck("provenance"),
        "included",
        "unusual",
        "seen_features",
        "measurements__measure",
        "model__usual__measure",
        "claim_answers__by",
    )


def record_of(instrument: Instrument) -> Record:
    """The record as plain values; no query for an instrument that came through `with_claims`."""
    return examined(instrument)._replace(
        papers=tuple(
            KnownPaper(row.token, row.title, row.kind, row.copy, row.comes_along, row.public)
            for row in instrument.papers.all()
        ),
        provenance=tuple(_entry(place, row) for place, row in enumerate(instrument.provenance.all())),
        included=tuple(row.what for row in instrument.included.all()),
        unusual=tuple(KnownUnusual(row.what, row.verdict or "") for row in differences_of(instrument)),
        setup=instrument.setup,
        struck=_struck(instrument, "dating", "provenance"),
    )


def examined(instrument: Instrument) -> Record:
    """What was made and what was found of it, which is all that a guarantee speaks of."""
    return Record(
        parts=_parts(instrument),
        configuration_made=str(instrument.configuration_made or ""),
        configuration_now=str(instrument.configuration_now or ""),
        made=instrument.made,
        made_edtf=instrument.made_edtf,
        made_earliest=instrument.made_earliest,
        made_latest=instrument.made_latest,
        made_near=not {"~", "?", "%"}.isdisjoint(instrument.made_edtf),
        dating=tuple(evidence_of(row) for row in instrument.dating.all()),
        struck=_struck(instrument, "dating"),
    )


def _struck(instrument: Instrument, *relations: str) -> tuple[KnownStruck, ...]:
    """What was struck off and not confirmed, in the order of the strikings."""
    rows = [
        (row.struck_at, relation, row) for relation in relations for row in waiting_of(instrument, relation)
    ]
    return tuple(
        KnownStruck(
            row.pk,
            relation,
            _entry(row.pk, row) if isinstance(row, Provenance) else evidence_of(row),
            day_of(timezone.localtime(at).date()),
        )
        for at, relation, row in sorted(rows, key=lambda one: one[0])
    )


def _parts(instrument: Instrument) -> tuple[KnownPart, ...]:
    findings: dict[int, Finding] = {row.part_id: row for row in instrument.findings.all()}
    known = []
    for part, found in zip(leaf_parts(instrument), parts_of(instrument), strict=True):
        row = findings.get(part.pk)
        told = (
            {"certainty": row.certainty, "seen": row.seen, "written": f"{row.evidence}; {row.note}"}
            if row
            else {}
        )
        known.append(KnownPart(part.slug, found, part.parent.name if part.parent else "", **told))
    return tuple(known)


def _entry(place: int, row: Provenance) -> KnownEntry:
    label = f"{row.when}: {row.get_kind_display()}" if row.when else row.get_kind_display()
    return KnownEntry(place, label, row.kind, row.paper.kind if row.paper else "")


@dataclass(frozen=True)
class Judged:
    """A claim beside what the record makes of it; no judgement for one that needs words to be judged by."""

    claim: Claim
    judgement: Judgement | None


def judgements(record: Record) -> list[Judged]:
    """Every claim there is, in the order of the list."""
    return [Judged(claim, None if claim.named else judge(claim.key, record)) for claim in CLAIMS]


@dataclass(frozen=True)
class Reading:
    """A claim found in a text of the record: where, what the record makes of it, and what the dealer answered."""

    section: str
    field: str
    text: str
    found: Found
    judgement: Judgement
    number: int
    answer: ClaimAnswer | None = None

    @property
    def around(self) -> tuple[str, str, str]:
        """The sentence in three: before the words, the words, after them."""
        before, words, after = self.found.sentence.partition(self.found.words)
        return before, words, after

    @property
    def place(self) -> str:
        """Its place among the claims of the record, as the page of claims names it."""
        return f"claim_{self.number}"

    @property
    def claim(self) -> Claim:
        """The claim that the words make."""
        return BY_KEY[self.found.claim]

    @property
    def verdict(self) -> Verdict:
        """What the record makes of it."""
        return self.judgement.verdict

    @property
    def contradicted(self) -> bool:
        """Whether the record says otherwise, of the shop's own words: no source lifts that, only other words."""
        return self.verdict == Verdict.CONTRADICTED and not self.found.quoted

    @property
    def dismissed(self) -> bool:
        """Whether the dealer has said that it is no claim."""
        return self.answer is not None and self.answer.how == ClaimAnswer.How.FALSE_ALARM

    @property
    def open(self) -> bool:
        """Whether it stops publishing: contradicted, or neither carried by the record, softened, nor answered."""
        if self.contradicted:
            return not self.dismissed
        if self.verdict == Verdict.SUPPORTED or (self.found.softened and not self.found.quoted):
            return False
        return self.answer is None

    @property
    def outcome(self) -> str:
        """Where it stands, in a few words."""
        if self.open:
            return (
                "The record says otherwise" if self.contradicted else "Needs a named source, or softer words"
            )
        if self.answer and self.verdict != Verdict.SUPPORTED:
            return self.answer.get_how_display()
        return (
            "Softer words, so no proof is asked"
            if self.verdict != Verdict.SUPPORTED
            else "The record carries it"
        )


def claim_words() -> QuerySet[ClaimWord]:
    """The owner's list, by claim."""
    return ClaimWord.objects.all()


def names_in(instrument: Instrument) -> Names:
    """What its parts, its kind, its maker and its model are called."""
    sheet = [PartCalled(part.slug, part.name, part.role) for part in leaf_parts(instrument)]
    model = instrument.model
    called = [
        instrument.kind.name,
        str(instrument.maker or ""),
        model.name if model else "",
        str(model or ""),
    ]
    configuration = str(instrument.configuration_now or "").partition(",")[0]
    return names_of(sheet, [*called, configuration])


def texts_of(instrument: Instrument) -> Iterator[tuple[str, str, str, str]]:
    """Section, field, name and words of every text that buyers read."""
    for field, section, name in TEXTS:
        yield section, field, name, getattr(instrument, field)
    for place, row in enumerate(instrument.provenance.all()):
        yield "provenance", f"provenance-{place}-public", "provenance", row.public


def read_texts(
    instrument: Instrument, record: Record | None = None, looked_for: Sequence[Pattern] | None = None
) -> list[Reading]:
    """Every claim in every text of the record, in their order; `looked_for` is `words_looked_for`, for many records."""
    return list(_read(instrument, texts_of(instrument), record, looked_for))


def read_draft(instrument: Instrument, field: str, words: str) -> list[Reading]:
    """Every claim in `words`, which are being typed for `field` of the record."""
    draft = [(section, name, called, words) for name, section, called in TEXTS if name == field]
    record = record_of(instrument)
    return list(_read(instrument, draft, record._replace(setup=words) if field == "setup" else record))


def _read(
    instrument: Instrument,
    texts: Iterable[tuple[str, str, str, str]],
    record: Record | None = None,
    looked_for: Sequence[Pattern] | None = None,
) -> Iterator[Reading]:
    written = [text for text in texts if text[3].strip()]
    if not written:
        return
    looked_for = words_looked_for() if looked_for is None else looked_for
    names, record = names_in(instrument), record or record_of(instrument)
    answers = {(row.claim, row.sentence): row for row in instrument.claim_answers.all()}
    number = 0
    for section, field, text, words in written:
        for found in find_claims(words, looked_for, names):
            if found.claim in STATED_THERE.get(section, ()):
                continue
            number += 1
            yield Reading(
                section=section,
                field=field,
                text=text,
                found=found,
                judgement=judge(found.claim, record, found.said),
                number=number,
                answer=answers.get((found.key, found.sentence)),
            )


def words_looked_for() -> Sequence[Pattern]:
    """The owner's list, ready to be found in a text."""
    return patterns(claim_words().values_list("claim", "words"))


def open_questions(instrument: Instrument, looked_for: Sequence[Pattern] | None = None) -> list[Reading]:
    """The claims in its texts that stop publishing."""
    return [reading for reading in read_texts(instrument, looked_for=looked_for) if reading.open]


def read_letter(instrument: Instrument, words: str) -> list[Reading]:
    """Every claim in `words`, which are written to a buyer and stand in no text of the record."""
    return list(_read(instrument, [("", "", "letter", words)]))
