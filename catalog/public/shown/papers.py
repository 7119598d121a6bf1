"""Papers, as the public may read of them: those that may be named, and never from whom they came."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.papers.models import Paper
from catalog.public.shown.wording import lowered

Copy = Paper.Copy

HAVE = {
    (Copy.ORIGINAL, True): "The paper itself comes with the instrument.",
    (Copy.COPY, True): "A copy comes with the instrument.",
    (Copy.ORIGINAL, False): "We have the paper itself; it does not come with the instrument.",
    (Copy.COPY, False): "We have a copy; it does not come with the instrument.",
}
SEEN = "We have seen it; it is not here."


@dataclass(frozen=True)
class ShownPaper:
    """One paper: its date, what it is, and whether it goes with the instrument."""

    when: str
    what: str
    have: str


def papers(rows: Iterable[Paper]) -> list[ShownPaper]:
    """The papers that may be named, in the order of their dates."""
    return [
        ShownPaper(row.when, _what(row), HAVE.get((Copy(row.copy), row.comes_along), SEEN))
        for row in rows
        if row.public
    ]


def paper_in_words(row: Paper | None) -> str:
    """A paper in the middle of a sentence: “a bill of sale of 1927”; "" for none, or one not to be named."""
    if row is None or not row.public:
        return ""
    kind = "paper" if row.kind == Paper.Kind.OTHER else lowered(row.get_kind_display())
    named = f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"
    if not row.when:
        return named
    # “of 1927”, “of c. 1927”; a span or a choice of years has words of its own.
    return f"{named}, {row.when}" if set(row.when_edtf) & set("/[X") else f"{named} of {row.when}"


def _what(row: Paper) -> str:
    kind = row.get_kind_display()
    if row.kind == Paper.Kind.OTHER or kind.casefold() in row.title.casefold():
        return row.title
    return f"{kind}: {row.title}"
