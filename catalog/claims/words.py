"""Find the words of a text that make a claim, and how each is meant.

A pattern is words as they stand in a text; a * ends a word that may go on. “is” stands for every form of being
and seeming. {part} is a part of the sheet, or several in a row; {kind} the instrument by kind, maker or model;
{year} a year, a decade or a span; {number} a figure or a number in words; {paper} a paper that may come along.
Small words may stand between (the, its, all, still …), and between “original” and a part up to three others.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from catalog.claims.naming import Names, parts_at
from catalog.claims.placeholders import PLACEHOLDERS, Caught, part
from catalog.claims.record import Said
from catalog.claims.rules import BY_KEY
from catalog.claims.senses import NEGATORS, Denial, denial, softened, supposed
from catalog.claims.tokens import Sentence, Token, quotations, sentences, tokens

BEING = frozenset(
    {
        "is", "are", "was", "were", "be", "been", "being", "remain", "remains", "looks", "look", "appear", "appears",
        "seem", "seems", "isn't", "aren't", "wasn't", "weren't", "stay", "stays", "stayed",
    }
)  # fmt: skip
HAVING = frozenset({"has", "have", "had"})
CLASSES = {"is": BEING, "has": HAVING}  # a word of the list that stands for all its forms
FILLERS = BEING | HAVING | NEGATORS | frozenset(
    {
        "the", "a", "an", "its", "all", "both", "still", "also", "very", "truly", "entirely", "completely",
        "fully", "wholly", "quite", "only", "just", "about", "some", "fewer", "less", "than", "to", "of", "every",
        "probably", "likely", "possibly", "perhaps", "apparently", "presumably", "believed", "thought", "said", "may",
        "might", "could", "must", "should", "new", "which", "that", "visible", "structural", "old", "own",
        "ever", "long", "since", "known", "two", "first", "they", "i", "we", "think", "believe", "carefully", "later",
        "longer", "any", "always", "together", "rather", "extremely", "factory", "nearly", "once", "%",
    }
)  # fmt: skip
MOST_FILLERS = 3
EXCEPT = (
    ("but", "for"), ("except",), ("apart", "from"), ("aside", "from"), ("other", "than"), ("save",), ("bar",),
    ("with", "the", "exception", "of"), ("excepting",), ("but",),
)  # fmt: skip
OTHER_SENSES = frozenset(
    {
        "owner", "owners", "owner's", "buyer", "buyer's", "purchaser", "customer", "price", "cost", "list", "order",
        "catalogue", "catalog", "sale", "retail", "selling", "dealer", "store", "intention", "design", "idea",
        "purpose",
        "family", "home", "town", "player", "advertisement",
    }
)  # fmt: skip
CONVERTED_BUILDINGS = frozenset({"barn", "garage", "attic", "church", "mill", "chapel", "stable", "loft"})
KEPT = frozenset(
    {
        "included", "kept", "saved", "come", "comes", "go", "goes", "travel", "travels", "retained", "bag", "envelope",
    }
)  # fmt: skip
GIVEN = frozenset({"come", "comes", "go", "goes", "travel", "travels"})
GIVEN_WITH = GIVEN | {"sold", "supplied", "offered"}


class Found(NamedTuple):
    """A claim that a text makes: which, where, in which words, and how it is meant."""

    claim: str
    start: int
    end: int
    words: str
    sentence: str
    said: Said = Said()
    softened: bool = False
    quoted: bool = False

    @property
    def key(self) -> str:
        """The claim with what it is said of, no longer than an answer has room for."""
        return f"{self.claim}/{self.said.detail}"[:30] if self.said.detail else self.claim


class _Match(NamedTuple):
    claim: str
    start: int
    end: int
    taken: tuple[int, ...]
    caught: Caught


class Pattern(NamedTuple):
    """One row of the owner’s list, taken apart."""

    claim: str
    elements: tuple[str, ...]
    whole: frozenset[str]


def patterns(rows: Iterable[tuple[str, str]]) -> list[Pattern]:
    """The owner’s list, ready to be looked for; rows of a claim there is no rule for are left out."""
    return [_pattern(claim, elements(words)) for claim, words in rows if claim in BY_KEY]


def _pattern(claim: str, wanted: tuple[str, ...]) -> Pattern:
    """With the words that a sentence must hold whole before it is worth looking closer."""
    return Pattern(
        claim, wanted, frozenset(word for word in wanted if word not in CLASSES and word.isalnum())
    )


def elements(words: str) -> tuple[str, ...]:
    """A row of the list as words, word beginnings and placeholders."""
    return tuple(words.lower().replace("’", "'").replace("%", " %").replace("-", " ").split())


def find_claims(text: str, looked_for: Sequence[Pattern], names: Names) -> list[Found]:
    """Every claim that `text` makes, in its order. A question makes none, nor does a mere supposition."""
    quoted = quotations(text)
    return [
        found
        for sentence in sentences(text)
        if not sentence.asks
        for found in _in_sentence(sentence, looked_for, names, quoted)
    ]


def _in_sentence(
    sentence: Sentence, looked_for: Sequence[Pattern], names: Names, quoted: Sequence[tuple[int, int]]
) -> Iterator[Found]:
    words = tokens(sentence.text, sentence.start)
    seen = set()
    matches = (match for match in _matches(words, looked_for, names) if not _other_sense(words, match, names))
    for match in _longest(matches):
        if supposed(words, match.start, match.end):
            continue
        start, end = words[match.start].start, words[match.end - 1].end
        for claim, said in _meant(words, match, names):
            if (claim, said) not in seen:
                seen.add((claim, said))
                yield Found(
                    claim=claim,
                    start=start,
                    end=end,
                    words=sentence.text[start - sentence.start : end - sentence.start],
                    sentence=sentence.text,
                    said=said,
                    softened=match.caught.near or softened(words, match.start, match.end),
                    quoted=any(first <= start and end <= last for first, last in quoted),
                )


def _matches(words: Sequence[Token], looked_for: Sequence[Pattern], names: Names) -> Iterator[_Match]:
    there = {token.word for token in words}
    for pattern in looked_for:
        if not pattern.whole <= there:
            continue
        for start in range(len(words)):
            if found := _match(words, start, pattern.elements, names, first=True):
                end, taken, caught = found
                yield _Match(pattern.claim, start, end, taken, caught)


def _match(
    words: Sequence[Token], at: int, wanted: Sequence[str], names: Names, *, first: bool = False
) -> tuple[int, tuple[int, ...], Caught] | None:
    """Match `wanted` from the word at `at`: where it ends, the words it took itself, what placeholders caught."""
    if not wanted:
        return at, (), Caught()
    for start in _places(words, at, first=first):
        for end, caught in _element(words, start, wanted[0], names, first=first):
            rest = _match(words, end, wanted[1:], names)
            if rest:
                return rest[0], (*range(start, end), *rest[1]), caught.joined(rest[2])
    return None


def _places(words: Sequence[Token], at: int, *, first: bool) -> Iterator[int]:
    """Where the next element may begin: here, or after a few small words."""
    for start in range(at, min(len(words), at + MOST_FILLERS + 2)):
        yield start
        comma = words[start].word == "," and start + 1 < len(words) and words[start + 1].word in FILLERS
        if first or not (comma or words[start].word in FILLERS):
            return


def _element(
    words: Sequence[Token], at: int, wanted: str, names: Names, *, first: bool
) -> Iterator[tuple[int, Caught]]:
    if at >= len(words):
        return
    if wanted in PLACEHOLDERS:
        yield from PLACEHOLDERS[wanted](words, at, names, first)
    elif _fits(words[at].word, wanted):
        yield at + 1, Caught()


def _fits(word: str, wanted: str) -> bool:
    if wanted in CLASSES:
        return word in CLASSES[wanted]
    return word.startswith(wanted[:-1]) if wanted.endswith("*") else word == wanted


def _longest(matches: Iterable[_Match]) -> list[_Match]:
    """Of matches that overlap, the longest, the later one of two as long; all that cover the same words stay."""
    kept: list[_Match] = []
    for match in sorted(matches, key=lambda one: (one.start - one.end, -one.end)):
        same = [other for other in kept if (other.start, other.end) == (match.start, match.end)]
        apart = all(match.end <= other.start or other.end <= match.start for other in kept)
        if apart or (same and match.claim not in {other.claim for other in same}):
            kept.append(match)
    return sorted(kept, key=lambda one: (one.start, one.end))


def _other_sense(words: Sequence[Token], match: _Match, names: Names) -> bool:
    """Whether its ends belong to their neighbours: “but for the bridge”, “original owner”, a converted barn."""
    last = words[match.end - 1].word
    following = [token.word for token in words[match.end : match.end + 2] if token.is_word]
    if match.caught.said.parts and _excepted_before(words, match.start):
        return True
    if last == "original" and following:
        attribute = match.claim == "all-original" and next(part(words, match.end, names, first=False), None)
        return following[0] in OTHER_SENSES or bool(attribute)
    return last in {"converted", "conversion"} and bool(CONVERTED_BUILDINGS & set(following))


def _excepted_before(words: Sequence[Token], start: int) -> bool:
    """Whether “but for”, “apart from” or the like stands right before, or before its article."""
    while start and words[start - 1].word in {"the", "its", "a"}:
        start -= 1
    before = [token.word for token in words[max(0, start - 4) : start]]
    return any(before[-len(phrase) :] == list(phrase) for phrase in EXCEPT if phrase != ("but",))


def _meant(words: Sequence[Token], match: _Match, names: Names) -> Iterator[tuple[str, Said]]:
    """The claims that a match makes: its own, its opposite when denied, one for each part."""
    claim, said = match.claim, match.caught.said
    meant = denial(words, match.start, match.end, match.taken)
    if meant:
        claim = BY_KEY[claim].opposite if meant == Denial.DENIED else ""
    elif claim == "original-part" and _kept(words, match, names):
        claim = "originals-kept"
    elif claim in {"all-original", "original-hardware"}:
        claim, said = _but_for(words, claim, match, said, names)
    if not claim:
        return
    if claim in {"original-part", "replaced-part"}:
        yield from _by_part(claim, said, names)
    else:
        yield claim, said


def _kept(words: Sequence[Token], match: _Match, names: Names) -> bool:
    """“The original tuners are in the case”: said of parts that lie by, by a verb right after or before them."""
    if words[match.start].word != "original":
        return False
    if _given(words, match.start) and not names.cases(match.caught.said.parts):
        return True
    following = [token.word for token in words[match.end : match.end + 5]]
    in_case = ("in", "the", "case") in zip(following, following[1:], following[2:], strict=False)
    return in_case or bool(KEPT & set(following[:4]))


def _given(words: Sequence[Token], start: int) -> bool:
    """Whether “comes with”, “with it come” or the like stands right before, or before its article."""
    while start and words[start - 1].word in {"the", "its"}:
        start -= 1
    before = ["", "", *(token.word for token in words[max(0, start - 2) : start])]
    return before[-1] in GIVEN or (before[-1] == "with" and before[-2] in GIVEN_WITH)


def _but_for(words: Sequence[Token], claim: str, match: _Match, said: Said, names: Names) -> tuple[str, Said]:
    """“All original but for the tuners”: with the parts that the same sentence excepts."""
    for phrase in EXCEPT:
        for at in range(len(words) - len(phrase)):
            if match.start <= at < match.end or tuple(w.word for w in words[at : at + len(phrase)]) != phrase:
                continue
            begins = at + len(phrase)
            excepted = tuple(dict.fromkeys(_all_parts(words, begins, names)))
            if phrase == ("but",) and not (at == match.end and excepted):
                continue
            key = "original-but-for" if claim == "all-original" else claim
            return key, said._replace(excepted=excepted)
    return claim, said


def _all_parts(words: Sequence[Token], begins: int, names: Names) -> Iterator[str]:
    for place in range(begins, len(words)):
        if words[place].word in {";", ":", "."}:
            return
        for _, slugs in parts_at(words, place, names)[:1]:
            yield from slugs


def _by_part(claim: str, said: Said, names: Names) -> Iterator[tuple[str, Said]]:
    """Neck, finish, case and frets have claims of their own; each other part is a claim apart."""
    for slug in said.parts:
        own = names.own_claim(slug, original=claim == "original-part")
        yield (own, said._replace(parts=())) if own else (claim, said._replace(parts=(slug,)))
