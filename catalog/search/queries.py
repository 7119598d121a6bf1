"""Find things by the words that they say: listed pieces by those of their public pages. The same on every database."""

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property

from django.db.models import Q

from catalog.search.nearness import words_alike
from catalog.search.rules import (
    IN_NAME,
    PREFIX_FROM,
    answers,
    asked_in,
    in_order,
    required,
    same,
    suggestions,
    totals,
)
from catalog.search.tables import PIECES, Words


@dataclass(frozen=True)
class Found:
    """What a search found: keys with their points; how mistyped words were read; what those left over are like.

    `saying` are the words said that were looked for in the end.
    """

    points: dict[int, int] = field(default_factory=dict)
    read_as: dict[str, list[str]] = field(default_factory=dict)
    unknown: dict[str, list[str]] = field(default_factory=dict)
    saying: frozenset[str] = frozenset()

    @cached_property
    def stocks(self) -> list[int]:
        """Of pieces: their stock numbers, best first."""
        return in_order(self.points)


def found(text: str) -> list[int]:
    """Stock numbers of the listed pieces that answer to a text, best first."""
    return search(text).stocks


def search(text: str, words: Words = PIECES) -> Found:
    """Look for a text. A thing answers to it when it says every word that says something."""
    asked = asked_in(text)
    candidates = _candidates(asked, words)
    answering = {word: answers(word, candidates[word]) for word in asked}
    mistyped = [word for word in asked if not _as_typed(word, candidates[word])]
    lost = [word for word in required(asked) if not answering[word]]
    return Found(
        points={} if lost else totals(asked, _points(answering, words)),
        read_as={word: list(answering[word]) for word in mistyped if answering[word]},
        unknown={word: suggestions(word, candidates[word]) for word in lost},
        saying=frozenset(said for found in answering.values() for said in found),
    )


def _candidates(asked: list[str], words: Words) -> dict[str, list[str]]:
    """For each word asked for, the known words that begin with it; or else those that are like it."""
    beginning = _beginning_with(asked, words)
    return {
        word: typed
        if (typed := [said for said in beginning if _may_be(word, said)])
        else words_alike(word, words.table)
        for word in asked
    }


def _beginning_with(asked: list[str], words: Words) -> list[str]:
    wanted = Q(pk__in=[])
    for word in asked:
        wanted |= Q(word=word) | Q(word=word.removesuffix("s"))
        if len(word) >= PREFIX_FROM:
            wanted |= Q(word__startswith=word)
    return list(words.known.objects.filter(wanted).values_list("word", flat=True))


def _may_be(asked: str, said: str) -> bool:
    return said.startswith(asked) or same(asked, said)


def _as_typed(asked: str, candidates: list[str]) -> bool:
    return any(_may_be(asked, said) for said in candidates)


def _points(answering: dict[str, dict[str, int]], words: Words) -> dict[str, dict[int, int]]:
    """For each word asked for, the best points that each thing has for it."""
    wanted = {said for found in answering.values() for said in found}
    sayers = _saying(wanted, words)
    return {asked: _best(found, sayers) for asked, found in answering.items()}


def _saying(wanted: set[str], words: Words) -> dict[str, list[tuple[int, bool]]]:
    """For each word, what says it, and whether in its name."""
    keys = dict(words.known.objects.filter(word__in=wanted).values_list("pk", "word"))
    found: dict[str, list[tuple[int, bool]]] = defaultdict(list)
    rows = words.said.objects.filter(known__in=keys).values_list("known", "in_name", words.sayer)
    for key, in_name, sayer in rows:
        found[keys[key]].append((sayer, in_name))
    return found


def _best(words: dict[str, int], sayers: dict[str, list[tuple[int, bool]]]) -> dict[int, int]:
    best: dict[int, int] = {}
    for word, points in sorted(words.items(), key=lambda pair: pair[1]):
        for sayer, in_name in sayers.get(word, ()):
            mine = points + (IN_NAME if in_name else 0)
            if mine > best.get(sayer, 0):
                best[sayer] = mine
    return best
