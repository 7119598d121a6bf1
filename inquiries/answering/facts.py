"""Facts as sentences in the dealer's voice: each drawn from the public side of the record, so nothing private is one.

A sentence carries its own reserve: how a thing was seen or measured, by which source, and what is excepted. The wording
is the shop's own: common practice, no source.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import NamedTuple

from catalog.originality.rules import NEVER_FITTED, NOT_EXAMINED, REPAIRED, PartFound, exceptions, plural
from catalog.public.shown.listing import Listing
from catalog.public.shown.originality import FoundPart
from catalog.public.shown.wording import lowered
from shop.wording import joined

ORIGINAL = "original"
# How a figure was taken, by the code of its unit in the bare values of a listing.
TAKEN_IN = {
    "INH": "measured in inches",
    "MMT": "measured in millimetres",
    "GRM": "weighed in grams",
    "ONZ": "weighed in pounds and ounces",
    "LBR": "weighed in pounds",
}
BY_THE_SET_UP = ("action", "bridge height")  # measures that change with the set-up
NOT_MEASURED = "not examined"
NEVER_ITSELF = (".", "!", "?", "…")


class Fact(NamedTuple):
    """A sentence from the record: its theme, where on the record it stands, and how that place is called."""

    key: str
    theme: str
    sentence: str
    source: str
    section: str
    anchor: str = ""


class Terms(NamedTuple):
    """What the shop's profile and the price of the piece say, in words."""

    price: str = ""
    on_request: bool = False
    deposit: str = ""
    deposit_percent: Decimal = Decimal(0)
    approval_hours: int = 0
    hold_hours: int = 0
    guarantee: str = ""
    text: str = ""
    carriers: tuple[str, ...] = ()


class Told(NamedTuple):
    """What facts and answers are drawn from: the public listing, the parts of the sheet, and the terms.

    `rows` says where each part stands on the record, by its name.
    """

    shown: Listing
    parts: Sequence[PartFound]
    terms: Terms
    rows: Mapping[str, str] = MappingProxyType({})


def facts_of(told: Told) -> list[Fact]:
    """Every fact, theme by theme."""
    rows = [
        *_originality(told),
        *_date(told.shown),
        *_numbers(told.shown),
        *_measurements(told.shown),
        *_condition(told.shown),
        *_included(told),
        *_past(told.shown),
        *_terms(told),
    ]
    return [row._replace(key=f"f{place}") for place, row in enumerate(rows, start=1)]


def by_theme(facts: Iterable[Fact]) -> list[tuple[str, list[Fact]]]:
    """The facts under their themes, in their order."""
    themes: dict[str, list[Fact]] = {}
    for fact in facts:
        themes.setdefault(fact.theme, []).append(fact)
    return list(themes.items())


def ended(words: str) -> str:
    """A sentence with its stop."""
    words = " ".join(words.split())
    return words if not words or words.endswith(NEVER_ITSELF) else f"{words}."


def unended(words: str) -> str:
    """A sentence to be gone on with."""
    return " ".join(words.split()).rstrip(".")


def _fact(theme: str, sentence: str, source: str, section: str, anchor: str = "") -> Fact:
    return Fact("", theme, ended(sentence), source, section, anchor)


def on_the_whole(told: Told) -> str:
    """The word on the whole, with how many parts it rests on."""
    found = told.shown.originality
    if not found.examined:
        return "We have not examined it part by part yet."
    many = f"{found.examined} of {found.parts} parts"
    return ended(found.says if many in found.says else f"{unended(found.says)} (examined: {many})")


def not_examined(told: Told) -> str:
    """The parts of which nothing can be said; empty when there are none."""
    missing = told.shown.originality.not_examined
    return f"We have not examined the {joined(missing)}." if missing else ""


def converted(told: Told) -> str:
    """From what into what, with the way back and what is kept; empty for a piece that stands as it was made."""
    change = told.shown.originality.conversion
    if change is None:
        return ""
    when = f"converted {change.when}" if change.when else ""
    kept = f"what is kept of the original comes with it: {joined(change.kept)}" if change.kept else ""
    first = f"It was made as {change.made} and stands as {change.stands}"
    return ended("; ".join(filter(None, [first, when, lowered(unended(change.back)), kept])))


def part_sentences(told: Told) -> list[tuple[str, str]]:
    """Each part that was looked at, by its name: what it is, how that was seen, and with what reserve."""
    known = {part.name: part for _heading, parts in told.shown.originality.groups for part in parts}
    return [
        (part.name, _of_part(part, known[part.name]))
        for part in told.parts
        if part.state != NOT_EXAMINED and part.name in known
    ]


def _of_part(part: PartFound, found: FoundPart) -> str:
    said = next(iter(exceptions([part])), "") or _as_made(part)
    behind = [found.doubt, found.when, _inner(found.how), _inner(found.note)]
    reserve = "; ".join(filter(None, behind))
    return ended(f"{unended(said)} ({reserve})" if reserve else said)


def _inner(sentences: str) -> str:
    """Sentences as one, for a bracket."""
    return "; ".join(lowered(sentence) for sentence in unended(sentences).split(". "))


def _as_made(part: PartFound) -> str:
    name, many = lowered(part.name), plural(part.name)
    if part.state == NEVER_FITTED:
        return f"The {name} {'were' if many else 'was'} never fitted"
    if part.state == REPAIRED:
        return f"The {name} {'are' if many else 'is'} original, and repaired"
    return f"The {name} {'are' if many else 'is'} original"


def _originality(told: Told) -> Iterator[Fact]:
    theme = "Originality"
    yield _fact(theme, on_the_whole(told), "Originality, on the whole", "parts")
    if change := converted(told):
        yield _fact(theme, change, "Configuration", "conversion")
    for name, sentence in part_sentences(told):
        yield _fact(theme, sentence, f"Originality: {lowered(name)}", "parts", told.rows.get(name, ""))
    if missing := not_examined(told):
        yield _fact(theme, missing, "Originality, not examined", "parts")
    for thing in told.shown.unusual:
        said = "; ".join(filter(None, [lowered(thing.verdict), unended(thing.evidence)]))
        sentence = f"Unusual on this model: {lowered(thing.what)}, {lowered(unended(thing.seen))} ({said})"
        yield _fact(theme, sentence, f"What is unusual: {lowered(thing.what)}", "unusual")


def _date(shown: Listing) -> Iterator[Fact]:
    theme, known = "Date of make", shown.dating
    if known.stated:
        agrees = lowered(unended(known.agrees)) or lowered(unended(known.typed))
        yield _fact(
            theme, f"We date it {known.stated}" + (f"; {agrees}" if agrees else ""), "Date of make", "dating"
        )
    for piece in known.pieces:
        source = "; ".join(filter(None, [unended(piece.source), piece.paper, lowered(piece.weight)]))
        yield _fact(theme, f"{unended(piece.says)}: {piece.when} ({source})", "Date of make", "dating")
    if then := shown.then_and_now:
        yield _fact(theme, " ".join(then.sentences), "The price when new", "price")


def _numbers(shown: Listing) -> Iterator[Fact]:
    for what, value, where, legibility in shown.numbers:
        sentence = f"The {lowered(what)} is {value}, {lowered(where)} ({lowered(legibility)})"
        yield _fact("What it is", sentence, f"Numbers: {lowered(what)}", "numbers")


def _measurements(shown: Listing) -> Iterator[Fact]:
    for name, sentence in measured(shown):
        yield _fact("Measurements", sentence, f"Measurements: {lowered(name)}", "measurements")


def measured(shown: Listing) -> list[tuple[str, str]]:
    """Each measure by its name: the figure in both systems, which of them it was taken in, and what it hangs on."""
    rows = zip(shown.measurements, shown.bare.measured, strict=True)
    return [
        (name, _measured(name, taken.word or figure, taken.unit, counted=taken.number is not None))
        for (name, figure), taken in rows
    ]


def _measured(name: str, figure: str, unit: str, *, counted: bool) -> str:
    inner = lowered(name)
    if not unit:
        if figure.lower() == NOT_MEASURED:
            return f"We have not examined the {inner}."
        return f"We count {figure} {inner}." if counted else f"The {inner} is {figure}."
    now = ", as it is set up now" if inner.startswith(BY_THE_SET_UP) else ""
    return f"The {inner} is {figure}, {TAKEN_IN.get(unit, 'measured')}{now}."


def _condition(shown: Listing) -> Iterator[Fact]:
    theme = "Condition and set-up"
    if shown.grade:
        meaning = f": {lowered(unended(shown.grade_meaning))}" if shown.grade_meaning else ""
        yield _fact(
            theme, f"We grade its condition {lowered(shown.grade)}{meaning}", "Condition", "condition"
        )
    if shown.condition:
        yield _fact(theme, shown.condition, "Condition, in words", "condition")
    if shown.setup:
        yield _fact(theme, shown.setup, "Set-up", "setup")


def _included(told: Told) -> Iterator[Fact]:
    theme = "What comes with it"
    if things := told.shown.included:
        sentence = f"With it comes: {'; '.join(lowered(unended(thing)) for thing in things)}"
        yield _fact(theme, sentence, theme, "included")
    for paper in told.shown.papers:
        when = f", {paper.when}" if paper.when else ""
        yield _fact(theme, f"{unended(paper.what)}{when}; {lowered(unended(paper.have))}", "Papers", "papers")


def _past(shown: Listing) -> Iterator[Fact]:
    for entry in shown.provenance:
        paper = f" (with {entry.paper})" if entry.paper else ""
        what = ": ".join(filter(None, [lowered(entry.what), unended(entry.text)]))
        when = entry.when or "at a time not known"
        yield _fact("Where it has been", f"Of its past, {when}: {what}{paper}", "Provenance", "provenance")
    if shown.provenance_note:
        yield _fact("Where it has been", shown.provenance_note, "Provenance", "provenance")


def _terms(told: Told) -> Iterator[Fact]:
    theme, terms = "Price and terms", told.terms
    if terms.price:
        yield _fact(theme, f"The price is {terms.price}; shipping is not in it", "Price", "price")
    elif terms.on_request:
        yield _fact(theme, "The price is given on request", "Price", "price")
    if terms.deposit:
        sentence = f"The usual deposit is {terms.deposit_percent.normalize():f} per cent of the price, {terms.deposit}"
        yield _fact(theme, sentence, "Terms of the shop", "shop")
    if terms.hold_hours and not told.shown.sold:
        yield _fact(theme, f"We hold a piece for {in_hours(terms.hold_hours)}", "Terms of the shop", "shop")
    yield _fact(theme, approval(terms), "Terms of the shop", "shop")
    if terms.guarantee and not told.shown.sold:
        yield _fact(theme, guarantee(told), "Guarantee", "shop")


def guarantee(told: Told) -> str:
    """What the shop stands behind, with what it does not on this piece in the same breath."""
    excepted = [lowered(unended(one)) for one in told.shown.guarantee_leaves_out]
    kept_out = f" – on this piece with these exceptions: {'; '.join(excepted)}" if excepted else ""
    return ended(f"{unended(told.terms.guarantee)}{kept_out}")


def approval(terms: Terms) -> str:
    """The approval period, as the profile has it."""
    if not terms.approval_hours:
        return "A piece is not sent on approval."
    return f"You have {in_hours(terms.approval_hours)} from delivery to try it and to send it back."


def in_hours(hours: int) -> str:
    """“48 hours”; whole days from three on."""
    days, rest = divmod(hours, 24)
    if not rest and days > 2:
        return f"{days} days"
    return "one hour" if hours == 1 else f"{hours} hours"
