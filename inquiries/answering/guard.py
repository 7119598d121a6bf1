"""What must not go out: private figures, names, addresses and notes found in a text, from values alone.

What counts as a find is the shop's own rule: common practice, no source. It errs on the side of stopping a letter,
except where a figure or a name is public as well: then it is no secret.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import NamedTuple

from inquiries.answering.figures import Figure, figures_in
from inquiries.answering.plain import Word, said_in, words_of

MONEY_WORDS = frozenset(
    {
        "cost", "costs", "paid", "pay", "pays", "payout", "gave", "price", "priced", "bought", "buy", "sold", "sell",
        "floor", "commission", "offer", "offers", "offered", "least", "lowest", "bottom", "take", "worth", "spent",
        "charge", "charged", "share", "bill", "asked", "asking", "accept", "money", "dollars", "bucks", "consign",
        "consigned", "consignor", "seller", "invoice", "margin", "profit", "bid", "sum", "amount", "cash",
    }
)  # fmt: skip
NEAR = 45  # signs before or after a small figure within which a word of money makes money of it
SMALL = 1000
YEARS = range(1500, 2100)
PHRASE = 5  # words in a row of a private note that may not be repeated
SHORTEST_PHRASE = 4
DIGITS_OF_A_NUMBER = 7
TITLES = frozenset({"mr", "mrs", "ms", "miss", "dr", "prof", "herr", "frau", "the", "of", "estate"})
NO_NAME = frozenset(
    {"a", "an", "the", "some", "somebody", "someone", "his", "her", "their", "unknown", "not"}
)
NO_SURNAMES = frozenset(
    {
        "jr", "sr", "ii", "iii", "iv", "inc", "ltd", "llc", "co", "gmbh", "sons", "son", "brothers", "bros", "estate",
        "family", "shop", "music", "instruments", "guitars", "banjos", "company", "auction", "auctions", "house",
        "fair", "market", "museum", "church", "school", "trust", "collection", "seller", "consignor", "buyer",
    }
)  # fmt: skip

_MAIL = re.compile(r"[^\s@<>(),;:\"“”]+\s?(?:@|\(at\)|\[at\]|\sat\s)\s?[^\s@<>(),;:\"“”]+", re.IGNORECASE)
_BREAK = re.compile(
    r"[.!?;:\n](?=\s|$)|[0-9]"
)  # another sentence, or another figure, has money words of its own
_TELEPHONE = re.compile(r"\+?[0-9](?:[0-9]|[ \u00a0().\-‐‑–/](?=[ \u00a0()0-9\-‐‑–/])){5,}[0-9]")


class Why(StrEnum):
    """Why a place may not go out; the value is the sentence, which tells no more than the place itself does."""

    FIGURE = (
        "This figure stays in the house: it is not the price, nor anything this person has offered or paid."
    )
    NAME = "This is the name of somebody else who has to do with the piece."
    ADDRESS = "This is somebody else’s e-mail address."
    TELEPHONE = "This is somebody else’s telephone number."
    NOTE = "These words stand in a private note, or in somebody else’s letter about the piece."


class Private(NamedTuple):
    """All that stays in the house: of this piece, of its seller, of the others who asked for it."""

    figures: frozenset[Decimal] = frozenset()
    shares: frozenset[Decimal] = frozenset()
    names: tuple[str, ...] = ()
    addresses: frozenset[str] = frozenset()
    telephones: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()


class Known(NamedTuple):
    """What this person may read: the price, their own offers, their own name, every public word of the record.

    `said` is what was said between both before; it frees a phrase to be said again, and no name.
    """

    figures: frozenset[Decimal] = frozenset()
    shares: frozenset[Decimal] = frozenset()
    words: str = ""
    said: str = ""
    addresses: frozenset[str] = frozenset()
    telephones: frozenset[str] = frozenset()


class Place(NamedTuple):
    """A place in the text that may not go out, and why."""

    start: int
    end: int
    why: Why


def private_places(text: str, private: Private, known: Known = Known()) -> list[Place]:  # noqa: B008 - a frozen value
    """Every place of `text` that gives away what is private, in its order."""
    words = words_of(text)
    public = words_of(known.words)
    found = [
        *_figures(text, private, known, public),
        *_names(words, private.names, public),
        *_addresses(text, private.addresses - known.addresses),
        *_telephones(text, private.telephones, known.telephones),
        *_notes(words, private.notes, [*public, *words_of(known.said)]),
    ]
    return _without_overlaps(found)


def _without_overlaps(found: Iterable[Place]) -> list[Place]:
    kept: list[Place] = []
    for place in sorted(found, key=lambda one: (one.start, -one.end)):
        if not kept or place.start >= kept[-1].end:
            kept.append(place)
        elif place.end > kept[-1].end:
            kept[-1] = kept[-1]._replace(end=place.end)
    return kept


def _figures(text: str, private: Private, known: Known, public: Sequence[Word]) -> Iterator[Place]:
    secret = _also_rounded(private.figures) - known.figures
    written = {word.word for word in public}
    for figure in figures_in(text):
        if figure.share:
            found = _share_is_private(text, figure, private.shares, known.shares)
        else:
            found = bool(figure.values & secret) and not figure.values & known.figures
            found = found and _speaks_of_money(text, figure, written)
        if found:
            yield Place(figure.start, figure.end, Why.FIGURE)


def _also_rounded(figures: Iterable[Decimal]) -> frozenset[Decimal]:
    """With the whole amounts beside those with cents: who writes 9,877 for 9,876.54 has told it."""
    return frozenset(
        read
        for figure in figures
        for read in (
            figure,
            figure.quantize(Decimal(1), rounding=ROUND_HALF_UP),
            figure.quantize(Decimal(1), rounding=ROUND_FLOOR),
        )
        if read > 0
    )


def _share_is_private(
    text: str, figure: Figure, shares: frozenset[Decimal], public: frozenset[Decimal]
) -> bool:
    """A percentage that is public too is private only where commission is spoken of."""
    if not figure.values & shares:
        return False
    around = text[max(0, figure.start - NEAR) : figure.end + NEAR].lower()
    return not figure.values & public or "commission" in around or "consign" in around


def _speaks_of_money(text: str, figure: Figure, public: set[str]) -> bool:
    """A bare small number may count frets, and one like 1931 be a year: they need a word of money near them.

    Digits that stand in the public record as they stand here are those of the record.
    """
    if figure.money:
        return True
    if figure.bare and figure.bare in public:
        return False
    value = max(figure.values)
    year = bool(figure.bare) and len(figure.bare) == 4 and int(figure.bare) in YEARS
    if value >= SMALL and not year:
        return True
    before = _BREAK.split(text[max(0, figure.start - NEAR) : figure.start])[-1]
    after = _BREAK.split(text[figure.end :][:NEAR])[0]
    return any(word.word in MONEY_WORDS for word in words_of(f"{before} {after}"))


def _names(words: Sequence[Word], names: Iterable[str], public: Sequence[Word]) -> Iterator[Place]:
    for name in names:
        called = [word.word for word in words_of(name)]
        if called and called[0] in NO_NAME and not any(sign.isupper() for sign in name[1:]):
            continue
        while called and called[0] in TITLES:
            called = called[1:]
        if not called or len("".join(called)) < 2 or said_in(public, called):
            continue
        whole = said_in(words, called)
        for first, last in whole:
            if len(called) > 1 or words[first].capital:
                yield Place(words[first].start, words[last - 1].end, Why.NAME)
        yield from _surnames(words, called, public)


def _surnames(words: Sequence[Word], called: Sequence[str], public: Sequence[Word]) -> Iterator[Place]:
    """The last name alone, with a capital; what a house is called by (“& Sons”) is none."""
    surname = called[-1]
    if len(called) == 1 or len(surname) < 3 or not surname.isalpha() or surname in NO_SURNAMES:
        return
    if any(word.is_called(surname) for word in public):
        return
    for word in words:
        if word.capital and word.is_called(surname):
            yield Place(word.start, word.end, Why.NAME)


def _addresses(text: str, addresses: frozenset[str]) -> Iterator[Place]:
    secret = {_address(address) for address in addresses}
    for found in _MAIL.finditer(text):
        if _address(found[0].rstrip(".!?’'")) in secret:
            yield Place(found.start(), found.start() + len(found[0].rstrip(".!?’'")), Why.ADDRESS)


def _address(written: str) -> str:
    """“Cole (at) post.example” is cole@post.example."""
    return re.sub(r"\s?(?:\(at\)|\[at\]|\sat\s|@)\s?", "@", written.strip().casefold())


def _telephones(text: str, secret: Iterable[str], public: Iterable[str]) -> Iterator[Place]:
    for found in _TELEPHONE.finditer(text):
        number = _digits(found[0])
        if _is_one_of(number, secret) and not _is_one_of(number, public):
            yield Place(found.start(), found.end(), Why.TELEPHONE)


def _is_one_of(number: str, numbers: Iterable[str]) -> bool:
    return any(_same_number(number, _digits(other)) for other in numbers)


def _same_number(one: str, other: str) -> bool:
    """With or without the code of the country, whose nought before the number goes when the code comes."""
    shorter, longer = sorted((one.lstrip("0"), other.lstrip("0")), key=len)
    return len(shorter) >= DIGITS_OF_A_NUMBER and longer.endswith(shorter)


def _digits(written: str) -> str:
    return "".join(sign for sign in written if sign.isdecimal())


def _notes(words: Sequence[Word], notes: Iterable[str], public: Sequence[Word]) -> Iterator[Place]:
    """Words in a row that stand so in a private note and nowhere that this person may read."""
    secret: set[tuple[str, ...]] = set()
    for note in notes:
        said = [word.word for word in words_of(note)]
        size = min(PHRASE, len(said))
        if size >= SHORTEST_PHRASE:
            secret |= {tuple(said[at : at + size]) for at in range(len(said) - size + 1)}
    for size in (SHORTEST_PHRASE, PHRASE):
        spoken = {tuple(word.word for word in public[at : at + size]) for at in range(len(public) - size + 1)}
        for at in range(len(words) - size + 1):
            phrase = tuple(word.word for word in words[at : at + size])
            if phrase in secret and phrase not in spoken:
                yield Place(words[at].start, words[at + size - 1].end, Why.NOTE)
