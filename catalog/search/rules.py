"""Words looked for among words said: which match, how well, and in which order the pieces come.

The trigrams are those of pg_trgm (a word padded with two blanks before and one behind), likeness is the share of
trigrams that two words have in common, as documented there. The order of grades is the shop's own: common practice,
no source.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from enum import IntEnum

LETTERS_AND_FIGURES = re.compile(r"[^\W_]+")
LONGEST = 60  # characters of a word
MOST_ASKED = 8  # words of a search that are looked at
PREFIX_FROM = 3  # characters from which a beginning finds the whole word
NEAR_FROM = 4  # characters from which a typing error is forgiven
LONG_FROM = 7  # characters from which two are
ALIKE = 0.45
FAINTLY_ALIKE = 0.2
SOMEWHAT_ALIKE = 0.25
NEAR_AT_MOST = 8

# Words that say nothing by themselves: a search need not find them, and the body of a page is read without them.
LITTLE = frozenset({
    "a", "all", "also", "an", "and", "any", "are", "as", "at", "be", "been", "both", "but", "by", "each", "either",
    "every", "for", "from", "had", "has", "have", "he", "her", "here", "him", "his", "how", "if", "in", "into", "is",
    "it", "its", "more", "most", "much", "no", "nor", "not", "of", "on", "one", "only", "or", "other", "our", "out",
    "over", "s", "she", "so", "some", "such", "than", "that", "the", "their", "them", "then", "there", "they",
    "this", "to", "very", "was", "we", "were", "what", "when", "where", "which", "who", "will", "with", "would",
    "you", "your",
})  # fmt: skip


class Grade(IntEnum):
    """How a word that is said answers to a word that is asked for; the points it brings."""

    EXACT = 50
    PREFIX = 30
    NEAR = 10


IN_NAME = 10  # further points where the name says it


def words_of(text: str) -> list[str]:
    """The words of a text without capitals, accents and marks: “Corvané & Sons’” is corvane, sons."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return [word[:LONGEST] for word in LETTERS_AND_FIGURES.findall(bare)]


def said_in(name: Iterable[str], body: Iterable[str]) -> dict[str, bool]:
    """Every word that these texts say, and whether the name says it."""
    said = {word: False for text in body for word in words_of(text) if word not in LITTLE}
    return said | {word: True for text in name for word in words_of(text)}


def asked_in(text: str) -> list[str]:
    """The different words of a search, in their order."""
    return list(dict.fromkeys(words_of(text)))[:MOST_ASKED]


def required(asked: Iterable[str]) -> list[str]:
    """The words that a piece must answer to: all but the little ones, or those where there are no others."""
    every = list(asked)
    return [word for word in every if word not in LITTLE] or every


def trigrams(word: str) -> frozenset[str]:
    """Every three letters in a row, with blanks around the word."""
    padded = f"  {word} "
    return frozenset(padded[place : place + 3] for place in range(len(padded) - 2))


def likeness(one: str, other: str) -> float:
    """The share of trigrams in common, from 0 to 1."""
    mine, theirs = trigrams(one), trigrams(other)
    shared = len(mine & theirs)
    return shared / (len(mine) + len(theirs) - shared)


def slips(one: str, other: str) -> int:
    """How many slips lie between two words: a letter too many, too few, another one, or two that changed places.

    Optimal string alignment, after Damerau (1964): no letter is moved twice.
    """
    before, row = [0] * (len(other) + 1), list(range(len(other) + 1))
    for i, mine in enumerate(one, 1):
        before, last, row = row, before, [i]
        for j, theirs in enumerate(other, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (mine != theirs))
            if i > 1 and j > 1 and mine == other[j - 2] and one[i - 2] == theirs:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
    return row[-1]


def same(asked: str, said: str) -> bool:
    """Whether it is the same word, be it one or several: banjo, banjos."""
    short, long = sorted((asked, said), key=len)
    return asked == said or (len(short) >= PREFIX_FROM and long == f"{short}s" and not short.endswith("s"))


def begins(asked: str, said: str) -> bool:
    """Whether what is asked for is the beginning of what is said."""
    return len(asked) >= PREFIX_FROM and said.startswith(asked)


def can_be_mistyped(word: str) -> bool:
    """A number is meant as it is typed, and so is a short word."""
    return len(word) >= NEAR_FROM and word.isalpha()


def near(asked: str, said: str) -> float:
    """How alike a word and the one that was perhaps meant are; 0 where it was not meant."""
    if not (can_be_mistyped(asked) and said.isalpha() and len(said) >= PREFIX_FROM):
        return 0
    alike = likeness(asked, said)
    forgiven = 2 if len(asked) >= LONG_FROM and alike >= FAINTLY_ALIKE else 1
    if alike >= ALIKE or (abs(len(asked) - len(said)) <= forgiven and slips(asked, said) <= forgiven):
        return alike
    return 0


def answers(asked: str, candidates: Iterable[str]) -> dict[str, int]:
    """The words said that answer to one asked for, with their points.

    A typing error is forgiven only where no word is the one asked for or begins with it; of the words that may have
    been meant, the likeliest are taken.
    """
    known = list(candidates)
    points = {word: int(Grade.PREFIX) for word in known if begins(asked, word)}
    points |= {word: int(Grade.EXACT) for word in known if same(asked, word)}
    if points:
        return points
    alike = sorted(((-near(asked, word), word) for word in known if near(asked, word)), key=lambda pair: pair)
    return {word: Grade.NEAR + int(-likely * 9) for likely, word in alike[:NEAR_AT_MOST]}


def suggestions(asked: str, candidates: Iterable[str], most: int = 3) -> list[str]:
    """Words that are said, somewhat like one that nothing answers to, the likeliest first.

    Two words that only end alike are not: they begin with the same letter, or one slip lies between them.
    """
    if not can_be_mistyped(asked):
        return []
    meant = [
        word for word in candidates if word.isalpha() and (word[0] == asked[0] or slips(asked, word) <= 1)
    ]
    alike = sorted((-likeness(asked, word), word) for word in meant)
    return [word for likely, word in alike if -likely >= SOMEWHAT_ALIKE][:most]


def totals(asked: Iterable[str], points: Mapping[str, Mapping[int, int]]) -> dict[int, int]:
    """The things that answer to every required word, each with all its points.

    `points` has, for each word asked for, the best points that each thing has for it.
    """
    every = list(asked)
    needed = [points.get(word, {}) for word in required(every)]
    if not needed:
        return {}
    fewest = min(needed, key=len)
    finds = [key for key in fewest if all(key in found for found in needed)]
    return {key: sum(points.get(word, {}).get(key, 0) for word in every) for key in finds}


def in_order(points: Mapping[int, int]) -> list[int]:
    """Best first; of equals the newest number."""
    return sorted(points, key=lambda key: (-points[key], -key))


def ranked(asked: Iterable[str], points: Mapping[str, Mapping[int, int]]) -> list[int]:
    """Stock numbers of the pieces that answer to every required word, best first; of equals the newest number."""
    return in_order(totals(asked, points))
