"""What the entries of a provenance leave open, and where they cannot all be true. Common practice, no source.

How the years of an entry are taken:

- It accounts for every year from its first to its last, whatever doubt stands on them: “c. 1931” for 1931 alone,
  “the 1920s” for ten years. A doubtful year is not stretched, so a gap is never hidden by a doubt.
- An end that is open accounts for no year beyond the one that is named: nobody has said how long it lasted.
- It is held against another entry only where its years are certain. An approximate or uncertain year may lie
  ABOUT years to either side. One year out of several (“1927 or 1928”, “the 1920s”) is certain in none of them;
  neither is a span of years for what happens once, nor any year of a span with an open end.
"""

import re
import unicodedata
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Final, NamedTuple

from shop.wording import gettext as _

MADE: Final = "made"
SOLD_NEW: Final = "sold-new"
OUT_OF_SIGHT: Final = "out-of-sight"
OWNING: Final = frozenset({"owned", "dealer"})
LASTING: Final = OWNING | {OUT_OF_SIGHT}
# A repair tells that it was somewhere, and not where it was at home.
ACCOUNTING: Final = frozenset({MADE, SOLD_NEW, "exhibited", "found"}) | OWNING
ONCE: Final = {MADE: "made", SOLD_NEW: "sold new"}
ABOUT: Final = 5  # years; the shop's own choice, used to withhold a warning and never to fill a gap

SHORTEST_NAME: Final = 3
# Words that stand in names, with their capital too, and in any sentence: they name nobody.
NO_NAMES: Final = frozenset(
    {"and", "the", "for", "von", "van", "der", "mrs", "miss", "his", "her", "our"}
    | {"family", "house", "estate", "heirs", "widow", "brothers", "sons"}
)


@dataclass(frozen=True, slots=True)
class Span:
    """One entry: what the shop says of it, its kind, first and last year (None for an end that is open).

    `doubtful` when its years are approximate or uncertain; `one_of` when it names one year out of several.
    """

    key: Hashable
    says: str
    kind: str
    earliest: int | None
    latest: int | None
    doubtful: bool = False
    one_of: bool = False

    @property
    def first(self) -> int | None:
        """The first year it names."""
        return self.latest if self.earliest is None else self.earliest

    @property
    def last(self) -> int | None:
        """The last year it names."""
        return self.earliest if self.latest is None else self.latest

    @property
    def about(self) -> int:
        """How many years its ends may be off."""
        return ABOUT if self.doubtful else 0

    @property
    def certain(self) -> range:
        """The years in which it was so for certain."""
        if self.earliest is None or self.latest is None:
            return range(0)
        if self.earliest != self.latest and (self.one_of or self.kind not in LASTING):
            return range(0)
        return range(self.earliest + self.about, self.latest - self.about + 1)

    def accounts_for(self, year: int) -> bool:
        """Whether it is an entry that tells where the instrument was in `year`."""
        return self.kind in ACCOUNTING and self.names(year)

    def names(self, year: int) -> bool:
        """Whether `year` is one of its years."""
        return self.first is not None and self.last is not None and self.first <= year <= self.last


class Gap(NamedTuple):
    """Years, first and last among them, of which nothing is known."""

    first: int
    last: int

    def __str__(self) -> str:
        if self.first == self.last:
            return str(self.first)
        return _("%(first)s to %(last)s") % {"first": self.first, "last": self.last}


def gaps(entries: Iterable[Span], made_earliest: int | None, until: int) -> list[Gap]:
    """The years between the make and `until`, neither among them, that no entry accounts for; in order of time.

    Without a year of make there is none: nobody can tell where the first would begin.
    """
    if made_earliest is None:
        return []
    known = list(entries)
    return _runs(
        year for year in range(made_earliest + 1, until) if not any(span.accounts_for(year) for span in known)
    )


def untold(found: Iterable[Gap], entries: Iterable[Span]) -> list[Gap]:
    """What is left of the gaps once the years of entries “out of sight” are taken out: those are told already."""
    hidden = [span for span in entries if span.kind == OUT_OF_SIGHT]
    return _runs(
        year
        for gap in found
        for year in range(gap.first, gap.last + 1)
        if not any(span.names(year) for span in hidden)
    )


def _runs(years: Iterable[int]) -> list[Gap]:
    runs: list[Gap] = []
    for year in years:
        if runs and runs[-1].last == year - 1:
            runs[-1] = Gap(runs[-1].first, year)
        else:
            runs.append(Gap(year, year))
    return runs


def contradictions(entries: Iterable[Span]) -> list[tuple[Span, Span, str]]:
    """Every two entries that cannot both be true as they stand, and every two out of their order, with a sentence."""
    known = list(entries)
    return disagreements(known) + out_of_order(known)


def disagreements(entries: Iterable[Span]) -> list[tuple[Span, Span, str]]:
    """Every two entries that cannot both be true; their order in the list plays no part.

    - Two owners, a dealer counted as one, with a certain year in common, other than the year of handing over.
    - Out of sight in a certain year in which it was owned, other than such a year.
    - Anything that was over, or had certainly begun, before the instrument can have been made.
    - Made twice, or sold new twice, in years that do not meet.
    """
    pairs = ((one, other, _disagreement(one, other)) for one, other in combinations(list(entries), 2))
    return [(one, other, why) for one, other, why in pairs if why]


def out_of_order(entries: Iterable[Span]) -> list[tuple[Span, Span, str]]:
    """Neighbours of which the later in the list was certainly over before the earlier one began."""
    dated = [span for span in entries if span.first is not None]
    return [
        (one, other, f"“{other.says}” stands after “{one.says}” and is earlier. Put them in order of time.")
        for one, other in pairwise(dated)
        if _before(other, one)
    ]


def _disagreement(one: Span, other: Span) -> str:
    """Why the two cannot both be true; "" when they can."""
    kinds = {one.kind, other.kind}
    if len(kinds) == 1 and one.kind in ONCE:
        return _twice(one, other)
    if MADE in kinds:
        return _before_made(*_with_first(one, other, MADE))
    if kinds <= OWNING:
        return _at_once(one, other, "Both cannot have had it")
    if OUT_OF_SIGHT in kinds and kinds & OWNING:
        return _at_once(*_with_first(one, other, OUT_OF_SIGHT), "It cannot have been out of sight and owned")
    return ""


def _with_first(one: Span, other: Span, kind: str) -> tuple[Span, Span]:
    return (one, other) if one.kind == kind else (other, one)


def _twice(one: Span, other: Span) -> str:
    if not _before(one, other) and not _before(other, one):
        return ""
    return f"“{one.says}” and “{other.says}” share no year, and it was {ONCE[one.kind]} only once."


def _before_made(made: Span, other: Span) -> str:
    begun = _begun_by(other)
    if begun is None or made.earliest is None or begun >= made.earliest - made.about:
        return ""
    return f"“{other.says}” is before “{made.says}”: nothing can have happened to it before it was made."


def _begun_by(span: Span) -> int | None:
    """The year by which it had certainly begun; None when that is open."""
    if span.certain:
        return span.certain[0]
    return None if span.latest is None else span.latest + span.about


def _at_once(one: Span, other: Span, why: str) -> str:
    shared = (set(one.certain) & set(other.certain)) - _handing_over(one.certain, other.certain)
    if not shared:
        return ""
    years = Gap(min(shared), max(shared))
    return f"“{one.says}” and “{other.says}” share {years}. {why} at once."


def _handing_over(one: range, other: range) -> set[int]:
    """The year in which one may have passed it to the other."""
    if not one or not other:
        return set()
    return ({one[-1]} & {other[0]}) | ({other[-1]} & {one[0]})


def _before(one: Span, other: Span) -> bool:
    """Whether `one` was certainly over before `other` can have begun; an open end may reach anywhere."""
    if one.latest is None or other.earliest is None:
        return False
    return one.latest + one.about < other.earliest - other.about


def names_in(text: str, person: str) -> list[str]:
    """The words of a person's name that stand in `text`, as written there; the shortest are let be.

    Of “Nell Tarrow, with her sister” only what has a capital is a name, unless all of it was typed without one.
    """
    words = _words(person)
    wanted = {_plain(word) for word in [word for word in words if word[0].isupper()] or words}
    wanted = {word for word in wanted if len(word) >= SHORTEST_NAME and word not in NO_NAMES}
    return [word for word in _words(text) if _plain(word) in wanted]


def _words(text: str) -> Sequence[str]:
    return re.findall(r"[^\W\d_]+", unicodedata.normalize("NFC", text))


def _plain(word: str) -> str:
    """Without case and without accents, so that a name is known however it is typed."""
    apart = unicodedata.normalize("NFKD", word.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))
