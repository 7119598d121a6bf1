"""Find listed pieces by the words that their public pages say. The same on every database."""

from collections import defaultdict
from dataclasses import dataclass, field

from django.db.models import Q

from catalog.search.models import KnownWord, Said
from catalog.search.nearness import words_alike
from catalog.search.rules import IN_NAME, answers, asked_in, ranked, required, same, suggestions


@dataclass(frozen=True)
class Found:
    """What a search found: stock numbers, best first; how mistyped words were read; what those left over are like."""

    stocks: list[int] = field(default_factory=list)
    read_as: dict[str, list[str]] = field(default_factory=dict)
    unknown: dict[str, list[str]] = field(default_factory=dict)


def found(text: str) -> list[int]:
    """Stock numbers of the listed pieces that answer to a text, best first."""
    return search(text).stocks


def search(text: str) -> Found:
    """Look for a text. A piece answers to it when its page says every word that says something."""
    asked = asked_in(text)
    candidates = _candidates(asked)
    answering = {word: answers(word, candidates[word]) for word in asked}
    mistyped = [word for word in asked if not _as_typed(word, candidates[word])]
    lost = [word for word in required(asked) if not answering[word]]
    return Found(
        stocks=[] if lost else ranked(asked, _points(answering)),
        read_as={word: list(answering[word]) for word in mistyped if answering[word]},
        unknown={word: suggestions(word, candidates[word]) for word in lost},
    )


def _candidates(asked: list[str]) -> dict[str, list[str]]:
    """For each word asked for, the known words that begin with it; or else those that are like it."""
    beginning = _beginning_with(asked)
    return {
        word: typed if (typed := [said for said in beginning if _may_be(word, said)]) else words_alike(word)
        for word in asked
    }


def _beginning_with(asked: list[str]) -> list[str]:
    wanted = Q(pk__in=[])
    for word in asked:
        wanted |= Q(word__startswith=word) | Q(word=word.removesuffix("s"))
    return list(KnownWord.objects.filter(wanted).values_list("word", flat=True))


def _may_be(asked: str, said: str) -> bool:
    return said.startswith(asked) or same(asked, said)


def _as_typed(asked: str, candidates: list[str]) -> bool:
    return any(_may_be(asked, said) for said in candidates)


def _points(answering: dict[str, dict[str, int]]) -> dict[str, dict[int, int]]:
    """For each word asked for, the best points that each piece has for it."""
    wanted = {said for words in answering.values() for said in words}
    pieces = _saying(wanted)
    return {asked: _best(words, pieces) for asked, words in answering.items()}


def _saying(words: set[str]) -> dict[str, list[tuple[int, bool]]]:
    """For each word, the pieces that say it, and whether in their name."""
    keys = dict(KnownWord.objects.filter(word__in=words).values_list("pk", "word"))
    found: dict[str, list[tuple[int, bool]]] = defaultdict(list)
    for key, in_name, stock in Said.objects.filter(known__in=keys).values_list("known", "in_name", "shelved"):
        found[keys[key]].append((stock, in_name))
    return found


def _best(words: dict[str, int], pieces: dict[str, list[tuple[int, bool]]]) -> dict[int, int]:
    best: dict[int, int] = {}
    for word, points in sorted(words.items(), key=lambda pair: pair[1]):
        for stock, in_name in pieces.get(word, ()):
            mine = points + (IN_NAME if in_name else 0)
            if mine > best.get(stock, 0):
                best[stock] = mine
    return best
