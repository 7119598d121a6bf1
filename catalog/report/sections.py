"""The sections of a report, each drawn from a listing's plain values alone.

A new part of the listing becomes a function here and a line in SECTIONS.
"""

from collections.abc import Callable
from typing import Any

from catalog.public.shown.listing import Listing
from catalog.report.sheet import Block, Sheet, said

Section = Callable[[Listing, Sheet], list[Block]]
ORIGINAL = frozenset({"original", "never-fitted"})


def exceptions(listing: Listing, sheet: Sheet) -> list[Block]:
    """What is not as it was made, a sentence each."""
    return sheet.listed(listing.originality.exceptions, "Not as it was made")


def conversion(listing: Listing, sheet: Sheet) -> list[Block]:
    """From what into what it was converted, and the way back."""
    told = listing.originality.conversion
    if told is None:
        return []
    of = "Converted"
    when = f"Converted {told.when}" if told.when else ""
    kept = f"Original parts that come with it: {'; '.join(told.kept)}" if told.kept else ""
    return (
        sheet.words(said(f"Made as {told.made}; stands as {told.stands}", when, told.back), of)
        + sheet.words(told.note, of)
        + sheet.words(said(kept), of)
    )


def parts(listing: Listing, sheet: Sheet) -> list[Block]:
    """Part by part, and what was not examined."""
    found = listing.originality
    room, groups = sheet.room.rows, []
    for name, rows in found.groups:
        if kept := rows[:room]:
            groups.append({"name": name, "parts": [_part(part, sheet) for part in kept]})
        room -= len(kept)
    every = sum(len(rows) for _, rows in found.groups)
    if (kept_parts := sum(len(group["parts"]) for group in groups)) < every:
        sheet.without(f"{every - kept_parts} of {every} examined parts")
    blocks: list[Block] = [{"kind": "parts", "groups": groups}] if groups else []
    missing = said(f"Not examined: {', '.join(found.not_examined)}") if found.not_examined else ""
    return blocks + sheet.soft(missing, "not examined")


def _part(part: Any, sheet: Sheet) -> list[Any]:
    told = [part.how, sheet.photograph(part.picture), part.note, part.kept]
    original = part.state in ORIGINAL
    if original and not sheet.room.told and any(told):
        sheet.without("how the original parts were seen")
        told = []
    how = said(*(sheet.text(words, "how we know") for words in told))
    return [part.name, ", ".join(filter(None, [part.word, part.when, part.doubt])), how, original]


def dating(listing: Listing, sheet: Sheet) -> list[Block]:
    """How the date is known: the dealer's sentence, what follows, and each piece of evidence."""
    of, known = "How the date is known", listing.dating
    if not known.briefly:
        return []
    pieces = [
        (
            piece.when,
            said(
                piece.says,
                piece.kind,
                piece.weight,
                piece.source,
                f"Paper: {piece.paper}" if piece.paper else "",
                sheet.photograph(piece.picture),
            ),
            False,
        )
        for piece in known.pieces
    ]
    return (
        sheet.words(known.typed, of)
        + sheet.words(" ".join(known.sentences), of)
        + sheet.soft(known.agrees, of)
        + sheet.dated(pieces, of)
    )


def unusual(listing: Listing, sheet: Sheet) -> list[Block]:
    """What differs from the model, and what is made of it."""
    rows = [
        (
            thing.what,
            thing.seen,
            said(
                thing.verdict,
                thing.evidence,
                *(f"Usual on the model: {value} ({source})" for value, source in thing.usual),
                f"Paper: {thing.paper}" if thing.paper else "",
                sheet.photograph(thing.picture),
            ),
        )
        for thing in listing.unusual
    ]
    return sheet.facts(rows, "Unusual on this model")


def condition(listing: Listing, sheet: Sheet) -> list[Block]:
    """The grade with its meaning, and what a buyer would find."""
    graded = [{"kind": "strong", "text": listing.grade}] if listing.grade else []
    return (
        graded + sheet.soft(listing.grade_meaning, "Condition") + sheet.words(listing.condition, "Condition")
    )


def setup(listing: Listing, sheet: Sheet) -> list[Block]:
    """How it is set up."""
    return sheet.words(listing.setup, "Set-up")


def included(listing: Listing, sheet: Sheet) -> list[Block]:
    """What comes with it."""
    return sheet.listed(listing.included, "What comes with it")


def provenance(listing: Listing, sheet: Sheet) -> list[Block]:
    """Where it has been, with the gaps."""
    of = "Where it has been"
    rows = [
        (
            entry.when,
            ": ".join(filter(None, [entry.what, entry.text]))
            + (f" (with {entry.paper})" if entry.paper else ""),
            entry.gap,
        )
        for entry in listing.provenance
    ]
    return sheet.soft(listing.provenance_note, of) + sheet.dated(rows, of)


def papers(listing: Listing, sheet: Sheet) -> list[Block]:
    """The papers that may be named, and whether they come with it."""
    rows = [(paper.when or "Not dated", said(paper.what, paper.have), False) for paper in listing.papers]
    return sheet.dated(rows, "Papers")


def then_and_now(listing: Listing, sheet: Sheet) -> list[Block]:
    """The price when it was new, and what the figures rest on."""
    told = listing.then_and_now
    if told is None:
        return []
    of = "The price when it was new"
    rests = [said(under.sum, f"{under.index}: {under.source}") for under in told.reckoned]
    return sheet.words(" ".join(told.sentences), of) + sheet.soft(" ".join(rests), of)


def guarantee(listing: Listing, sheet: Sheet) -> list[Block]:
    """What the shop stands behind, and what it does not on this instrument; a sold piece went under its own terms."""
    if listing.sold or not sheet.guarantee:
        return []
    leaves_out = sheet.listed(listing.guarantee_leaves_out, "Guarantee")
    heading = [{"kind": "strong", "text": "What it does not cover on this instrument"}] if leaves_out else []
    return sheet.words(sheet.guarantee, "Guarantee") + heading + leaves_out


# Title, whether it takes the whole width, and what fills it. An empty section is not printed.
SECTIONS: list[tuple[str, bool, Section]] = [
    ("Not as it was made", False, exceptions),
    ("Converted", False, conversion),
    ("Originality, part by part", True, parts),
    ("How the date is known", False, dating),
    ("Unusual on this model", False, unusual),
    ("Condition", False, condition),
    ("Set-up", False, setup),
    ("What comes with it", False, included),
    ("Where it has been", False, provenance),
    ("Papers", False, papers),
    ("The price when it was new", False, then_and_now),
    ("Guarantee", False, guarantee),
]
