"""Claims that rest on what was found part by part, and on the configuration."""

import re
from collections.abc import Sequence

from catalog.claims.record import DOUBTFUL, TOLD, Judgement, KnownPart, Record, Row, Said, Verdict, listed
from catalog.originality.rules import (
    AS_MADE,
    BODY,
    FINISH,
    GONE,
    MISSING,
    NECK,
    NEVER_FITTED,
    NOT_EXAMINED,
    REFINISHED,
    RENEWED,
    REPAIRED,
    UNKNOWN,
)

CASE = "case"
THE_PART = frozenset({"original", REPAIRED})
PUT_ON = GONE - {MISSING}
FRETS = "frets"

# Metal and fittings by name, beside whatever stands under a heading “Hardware”. The shop's own list.
HARDWARE = (
    "tuner", "tailpiece", "hook", "nuts of the hooks", "bracket", "hoop", "flange", "armrest", "clamp", "plating",
)  # fmt: skip

WORST_FIRST = (Verdict.CONTRADICTED, Verdict.NOT_ESTABLISHED, Verdict.SUPPORTED)

STATES = {
    "original": "original",
    NEVER_FITTED: "never fitted",
    REPAIRED: "repaired",
    REFINISHED: "refinished or re-plated",
    "period": "a period-correct replacement",
    "later": "a later replacement",
    "reproduction": "a reproduction",
    MISSING: "missing",
    NOT_EXAMINED: "not examined",
    UNKNOWN: "not known",
}

CRACK = re.compile(r"\b(?:crack|split)")
NONE = re.compile(r"\b(?:no|not|none|never|without|free of)\b(?! other| further| more)")


def all_original(record: Record, said: Said) -> Judgement:
    """Every part, but for those that the text excepts itself."""
    spoken_of = [part for part in record.parts if part.slug not in said.excepted]
    return weigh(spoken_of, AS_MADE, RENEWED)


def untouched(record: Record, said: Said) -> Judgement:
    """Every part, and none so much as repaired."""
    return weigh(record.parts, AS_MADE - {REPAIRED}, RENEWED | {REPAIRED})


def original_part(record: Record, said: Said) -> Judgement:
    """The parts that the words name. A refinished part is the original part, but not as it was."""
    return weigh(record.called(said.parts), THE_PART, GONE | {NEVER_FITTED})


def original_neck(record: Record, said: Said) -> Judgement:
    """The parts that count as neck."""
    return weigh(record.with_role(NECK), THE_PART, GONE | {NEVER_FITTED})


def original_case(record: Record, said: Said) -> Judgement:
    """The parts that count as case."""
    return weigh(record.with_role(CASE), THE_PART, GONE | {NEVER_FITTED})


def original_frets(record: Record, said: Said) -> Judgement:
    """The frets."""
    return weigh(_frets(record), THE_PART, RENEWED | {NEVER_FITTED})


def original_hardware(record: Record, said: Said) -> Judgement:
    """Metal and fittings."""
    hardware = [part for part in record.parts if part.group.lower() == "hardware" or _is_metal(part)]
    return weigh([part for part in hardware if part.slug not in said.excepted], AS_MADE, RENEWED)


def original_finish(record: Record, said: Said) -> Judgement:
    """Finish, body and neck together: a refinished or replaced one of them no longer has its finish."""
    if not record.with_role(FINISH):
        return _nothing("the finish")
    return weigh(record.with_role(FINISH, BODY, NECK), AS_MADE, RENEWED)


def refinished(record: Record, said: Said) -> Judgement:
    """The parts that the words name, or else finish, body and neck."""
    parts = record.called(said.parts) or record.with_role(FINISH, BODY, NECK)
    if done := [part for part in parts if part.found.state == REFINISHED and part.certainty != DOUBTFUL]:
        return _judged(Verdict.SUPPORTED, done)
    if parts and all(part.found.state in AS_MADE and part.sure for part in parts):
        return _judged(Verdict.CONTRADICTED, parts)
    return _open([part for part in parts if part.found.state not in AS_MADE] or parts, "the finish")


def refretted(record: Record, said: Said) -> Judgement:
    """The frets are others than it was made with."""
    return weigh(_frets(record), PUT_ON, AS_MADE - {NEVER_FITTED}, admits=True)


def replaced(record: Record, said: Said) -> Judgement:
    """The parts that the words name are others than it was made with."""
    return weigh(record.called(said.parts), GONE, THE_PART, admits=True)


def originals_kept(record: Record, said: Said) -> Judgement:
    """The original part comes along: still on it, kept beside it, or listed with what comes with it."""
    parts = record.called(said.parts)
    if rows := tuple(
        Row(what, "included", f"id_included-{place}-what")
        for place, what in enumerate(record.included)
        if any(_original_in(part, what) for part in parts)
    ):
        names = listed(row.label for row in rows)
        return Judgement(Verdict.SUPPORTED, f"Comes with it: {names}.", rows)
    if parts and all(part.sure and (part.found.state in THE_PART or part.found.kept) for part in parts):
        return _judged(Verdict.SUPPORTED, parts, kept=True)
    if gone := [part for part in parts if part.found.state in GONE and not part.found.kept]:
        names = listed(part.name for part in gone)
        rows = tuple(part.row for part in gone)
        return Judgement(Verdict.CONTRADICTED, f"The record has no original kept: {names}.", rows)
    return _open(parts, "that part")


def _original_in(part: KnownPart, what: str) -> bool:
    words = what.lower()
    return "original" in words and part.name in words


def no_repairs(record: Record, said: Said) -> Judgement:
    """Body and neck whole, and nothing repaired anywhere. A replaced tuner is no repair; a replaced top is more."""
    wood = weigh(record.with_role(BODY, NECK), AS_MADE - {REPAIRED}, RENEWED | {REPAIRED})
    rest = [part for part in record.parts if part.found.role not in {BODY, NECK}]
    other = weigh(rest, AS_MADE - {REPAIRED} | GONE, frozenset({REPAIRED})) if rest else wood
    return min(wood, other, key=lambda one: WORST_FIRST.index(one.verdict))


def sound_wood(record: Record, said: Said) -> Judgement:
    """Body and neck seen, and nothing repaired on them; a new finish may hide a repair, so it settles nothing."""
    if not record.with_role(BODY):
        return _nothing("the body")
    return weigh(record.with_role(BODY, NECK), AS_MADE - {REPAIRED} | PUT_ON, frozenset({REPAIRED}))


def uncracked(record: Record, said: Said) -> Judgement:
    """Sound wood, and no finding of body or neck that is written to be cracked or split."""
    if cracked := [part for part in record.with_role(BODY, NECK) if _cracked(part.written)]:
        names = listed(part.name for part in cracked)
        rows = tuple(part.row for part in cracked)
        return Judgement(Verdict.CONTRADICTED, f"The record writes of a crack: {names}.", rows)
    return sound_wood(record, said)


def _cracked(written: str) -> bool:
    """Whether a clause speaks of a crack or a split that is there: “no cracks” and “never split” do not."""
    clauses = re.split(r"[.;,:]", written.lower())
    return any(CRACK.search(clause) and not NONE.search(clause) for clause in clauses)


def converted(record: Record, said: Said) -> Judgement:
    """Made in one configuration, standing in another."""
    return _configured(record, Verdict.SUPPORTED, Verdict.CONTRADICTED)


def as_made(record: Record, said: Said) -> Judgement:
    """Standing in the configuration it was made in."""
    return _configured(record, Verdict.CONTRADICTED, Verdict.SUPPORTED)


def weigh(
    parts: Sequence[KnownPart], fits: frozenset[str], against: frozenset[str], *, admits: bool = False
) -> Judgement:
    """Judge `parts` together: each must be found in a state that fits, for certain, and none in one against.

    A finding in doubt speaks neither for nor against; a likely one speaks against and does not speak for, unless
    the claim `admits` what tells against the instrument: then likely is enough.
    """
    if spoke_against := [p for p in parts if p.found.state in against and p.certainty != DOUBTFUL]:
        return _judged(Verdict.CONTRADICTED, spoke_against)
    unsettled = [
        part
        for part in parts
        if part.found.state not in fits or not (part.sure or (admits and part.certainty != DOUBTFUL))
    ]
    if unsettled:
        return _open(unsettled, "")
    if not any(part.found.state != NEVER_FITTED for part in parts):
        return _nothing("such a part")
    return _judged(Verdict.SUPPORTED, parts)


def _judged(verdict: Verdict, parts: Sequence[KnownPart], *, kept: bool = False) -> Judgement:
    rows = tuple(part.row for part in parts)
    if kept:
        return Judgement(verdict, f"On it, or kept with it: {listed(part.name for part in parts)}.", rows)
    if verdict == Verdict.SUPPORTED and len(parts) > 1 and {part.found.state for part in parts} <= AS_MADE:
        return Judgement(verdict, f"All {len(parts)} parts it rests on were examined and bear it out.", rows)
    return Judgement(verdict, f"On the record: {listed(map(_stands, parts))}.", rows)


def _stands(part: KnownPart) -> str:
    return f"{part.name} ({STATES.get(part.found.state, part.found.state)})"


def _open(parts: Sequence[KnownPart], what: str) -> Judgement:
    if not parts:
        return _nothing(what)
    reasons = listed(f"{part.name} ({_doubt(part)})" for part in parts)
    return Judgement(Verdict.NOT_ESTABLISHED, f"Not settled: {reasons}.", tuple(part.row for part in parts))


def _doubt(part: KnownPart) -> str:
    state = STATES.get(part.found.state, part.found.state)
    if part.found.state in {NOT_EXAMINED, UNKNOWN} or part.sure:
        return state
    if part.seen == TOLD:
        return f"{state}, but only as told to us"
    return f"{state}, but {'in doubt' if part.certainty == DOUBTFUL else 'only likely'}"


def _nothing(what: str) -> Judgement:
    name = what or "such a part"
    return Judgement(Verdict.NOT_ESTABLISHED, f"The sheet of this kind has nothing that says so of {name}.")


def _configured(record: Record, when_other: Verdict, when_same: Verdict) -> Judgement:
    rows = (
        Row("Configuration as made", "identity", "id_configuration_made"),
        Row("Configuration as it stands", "identity", "id_configuration_now"),
    )
    if not record.configurations_known:
        return Judgement(Verdict.NOT_ESTABLISHED, "The record does not name both configurations.", rows)
    if record.converted:
        why = (
            f"Made as {_lowered(record.configuration_made)}; stands as {_lowered(record.configuration_now)}."
        )
        return Judgement(when_other, why, rows)
    return Judgement(when_same, f"Made as {_lowered(record.configuration_made)}, and it still is.", rows)


def _frets(record: Record) -> list[KnownPart]:
    return [part for part in record.parts if part.name == FRETS]


def _is_metal(part: KnownPart) -> bool:
    return any(word in part.name for word in HARDWARE)


def _lowered(name: str) -> str:
    return name[:1].lower() + name[1:]
