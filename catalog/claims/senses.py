"""How a claim is meant: denied, softened, supposed, or about another instrument."""

from collections.abc import Sequence
from enum import StrEnum
from itertools import pairwise

from catalog.claims.tokens import Token

Words = Sequence[Token]


class Denial(StrEnum):
    """Said to be otherwise; or only that it is not here, or that something stands in its place; or neither."""

    NONE = ""
    DENIED = "denied"
    APART = "apart"


NEGATORS = frozenset(
    {
        "not", "no", "nobody", "never", "neither", "nor", "none", "nothing", "cannot", "hardly",
        "isn't", "aren't", "wasn't", "weren't", "hasn't", "haven't", "hadn't", "doesn't", "don't", "didn't", "can't",
        "won't", "few",
    }
)  # fmt: skip
ABSENCE = frozenset({"without", "lacks", "lacking"})
REACH = 6  # tokens before a claim in which a denial still belongs to it; common practice, no source
NO_DENIAL = frozenset(
    {
        ("not", "only"), ("not", "just"), ("no", "doubt"), ("no", "question"), ("nothing", "but"),
        ("without", "reserve"), ("without", "doubt"), ("without", "question"),
    }
)  # fmt: skip
# Words before “the original …” that speak of something else in its stead.
STANDS_FOR = (
    "replac",
    "match",
    "modelled",
    "modeled",
    "copy",
    "copies",
    "copied",
    "reproduc",
    "replica",
    "imitat",
)
STANDS_FOR_PAIRS = frozenset(
    {
        ("place", "of"), ("instead", "of"), ("rather", "than"), ("like", "the"), ("than", "the"), ("traces", "of"),
        ("marks", "of"), ("holes", "of"), ("outline", "of"), ("shadow", "of"), ("same", "as"), ("similar", "to"),
        ("ghost", "of"),
    }
)  # fmt: skip
GONE_AFTER = frozenset(
    {
        "missing",
        "gone",
        "lost",
        "replaced",
        "removed",
        "absent",
        "discarded",
        "vanished",
        "changed",
        "swapped",
    }
)
NOT_THERE = frozenset({("not", "included"), ("not", "present"), ("not", "with"), ("no", "longer")})

HEDGES = frozenset(
    {
        "appear", "appears", "appeared", "seem", "seems", "probably", "likely", "possibly", "perhaps",
        "presumably", "apparently", "maybe", "might", "believe", "believed", "think", "thought",
        "suspect", "doubt", "guess", "suppose", "supposed", "supposedly", "reportedly", "allegedly",
        "reputedly", "reputed",
        "told", "tells", "said", "says", "opinion", "knowledge", "presume", "assume", "seemingly", "reckon",
    }
)  # fmt: skip
HEDGE_PAIRS = frozenset(
    {
        ("as", "far"), ("so", "far"), ("according", "to"), ("we", "take"), ("judging", "by"), ("best", "of"),
        ("may", "be"), ("may", "well"), ("may", "have"), ("could", "be"), ("could", "have"),
        ("can", "tell"), ("can", "see"), ("can", "find"), ("could", "find"), ("family", "story"), ("should", "be"),
        ("must", "be"), ("consistent", "with"), ("as", "if"), ("as", "though"),
    }
)  # fmt: skip
LOOKS = frozenset({"look", "looks", "looked"})
SUPPOSED = frozenset({"if", "whether", "unless", "would"})
ANOTHER = frozenset(
    {"another", "other", "similar", "sister", "second", "every", "most", "many", "such", "some"}
)

STOPS = frozenset({";", ":", "(", ")", "—", "–", "…"})
JOINTS = frozenset({"and", "but", "while", "though", "although", "yet", "so", "whereas", "with"})


def clause(words: Words, start: int, end: int) -> tuple[int, int]:
    """The clause around words[start:end]: up to a mark that ends one, or a comma and a new beginning, or “but”."""
    first, last = start, end
    while first > 0 and not _parts(words, first - 1):
        first -= 1
    while last < len(words) and not _parts(words, last):
        last += 1
    return first, last


def _parts(words: Words, place: int) -> bool:
    word = words[place].word
    if word in STOPS or (word in {".", "!", "?"} and words[max(place - 1, 0)].word != "no"):
        return True
    following = words[place + 1].word if place + 1 < len(words) else ""
    if word == ",":
        return following in JOINTS
    return word == "but" and following != "for"


def denial(words: Words, start: int, end: int, taken: Sequence[int] = ()) -> Denial:
    """How words[start:end] are denied: before, inside (apart from the places in `taken`), or after; or not at all."""
    first, last = clause(words, start, end)
    if any(_negates(words, n) for n in range(start, end) if n not in taken or words[n].word.endswith("n't")):
        return Denial.DENIED
    # “No overspray and no refinishing”: words that are a denial themselves take none from further off.
    first = max(first, start - 1) if words[start].word in NEGATORS | ABSENCE else first
    return _before(words, first, start) or _after(words, end, last)


def _before(words: Words, first: int, start: int) -> Denial:
    for n in range(start - 1, max(first, start - REACH) - 1, -1):
        word = words[n].word
        pair = (word, words[n + 1].word)
        twice = n > first and words[n - 1].word in {"not", "never"}
        if word == ",":
            return Denial.NONE
        absent = word in ABSENCE and pair not in NO_DENIAL
        if absent or word.startswith(STANDS_FOR) or pair in STANDS_FOR_PAIRS:
            return Denial.NONE if twice else Denial.APART
        if _negates(words, n):
            return Denial.DENIED
    return Denial.NONE


def _after(words: Words, end: int, last: int) -> Denial:
    for n in range(end, min(last, end + REACH)):
        word, before = words[n].word, words[n - 1].word
        following = words[n + 1].word if n + 1 < len(words) else ""
        if word in GONE_AFTER:
            return Denial.NONE if before in NEGATORS else Denial.DENIED
        if (word, following) in NOT_THERE:
            return Denial.APART
        if word in {",", "and", "or"}:
            return Denial.NONE
    return Denial.NONE


def _negates(words: Words, place: int) -> bool:
    word = words[place].word
    following = words[place + 1].word if place + 1 < len(words) else ""
    if (word, following) == ("no", ".") or (
        word == "few" and place and words[place - 1].word in {"a", "the"}
    ):
        return False
    return word in NEGATORS and (word, following) not in NO_DENIAL


def softened(words: Words, start: int, end: int) -> bool:
    """Whether the clause says it with reserve, or as somebody else’s word."""
    first, last = clause(words, start, end)
    said = [token.word for token in words[first:last]]
    # “A long look” is none; “look original” is one.
    looks = LOOKS & {token.word for token in words[max(first, start - 3) : end]}
    hedges = HEDGES & set(said) - ({"doubt"} if ("no", "doubt") in pairwise(said) else set())
    return bool(looks or hedges) or any(pair in HEDGE_PAIRS for pair in pairwise(said))


def supposed(words: Words, start: int, end: int) -> bool:
    """Whether it is only supposed (if, whether, would be), or said of another instrument."""
    first, last = clause(words, start, end)
    around = {token.word for token in [*words[first:end], *words[end : min(last, end + 2)]]}
    before = [token.word for token in words[first:start] if token.is_word]
    before_if = [
        word for word, following in pairwise(token.word for token in words[first:end]) if following == "if"
    ]
    only_as_if = before_if == ["as"] and SUPPOSED & around == {"if"}  # “as if” is a reserve, not a condition
    return bool(SUPPOSED & around and not only_as_if) or bool(ANOTHER & set(before[-2:]))
