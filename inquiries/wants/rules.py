"""Which piece meets a wish, and who hears of it first. The rule is the shop's own: common practice, no source.

A wish meets a piece when nothing it states is contradicted by what is known of the piece:

* the kind, the maker and the model are those sought;
* the configuration sought is the one as it stands, or the one as made;
* the span of make reaches into the years sought;
* the word on originality stands no lower, in the order in which `catalog/originality/rules.Word` writes them down,
  than the one sought (so “not fully examined” stands below “original but for …”);
* the price is no higher than sought;
* the last day of the wish has not gone by.

What is not known contradicts nothing, and is a “perhaps”: it never counts as met. Among those whose wishes meet a
piece, they stand first of whose wish most is met by known facts; among equals, who asked first. The free words of a
wish are shown and decide nothing.

So stating less never loses a match, and a piece that is more original or costs less never ranks lower.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from typing import NamedTuple

from catalog.originality.rules import Word
from shop.money import Money

ORDER = {word: place for place, word in enumerate(Word)}  # best first


class Answer(Enum):
    """How what is known of a piece answers to one thing that is stated."""

    MET = "met"
    PERHAPS = "perhaps"
    CONTRADICTED = "contradicted"


class Named(NamedTuple):
    """A kind, a maker, a model or a configuration: its key and its name."""

    key: int
    name: str


@dataclass(frozen=True)
class Piece:
    """What is known of a piece; None and "" are not known."""

    kind: Named
    maker: Named | None = None
    model: Named | None = None
    stands: Named | None = None
    made_as: Named | None = None
    made: str = ""
    earliest: int | None = None
    latest: int | None = None
    word: Word | None = None
    word_said: str = ""
    price: Money | None = None
    on_request: bool = False


@dataclass(frozen=True)
class Wish:
    """What is stated of a wish; None is left open."""

    kind: Named | None = None
    maker: Named | None = None
    model: Named | None = None
    configuration: Named | None = None
    made_from: int | None = None
    made_to: int | None = None
    word: Word | None = None
    word_said: str = ""
    price: Money | None = None
    until: date | None = None


class Reason(NamedTuple):
    """How the piece answers to one thing that the wish states, as a sentence."""

    answer: Answer
    says: str


@dataclass(frozen=True)
class Match:
    """A wish that a piece meets, with the reasons."""

    reasons: tuple[Reason, ...] = ()

    @property
    def met(self) -> int:
        """How many of the things stated are met by known facts."""
        return sum(reason.answer == Answer.MET for reason in self.reasons)

    @property
    def sentences(self) -> list[str]:
        """The reasons; a wish that states nothing has one of its own."""
        return [reason.says for reason in self.reasons] or ["The wish leaves everything open."]


def match(wish: Wish, piece: Piece, *, today: date) -> Match | None:
    """How the piece answers to the wish; None where it does not meet it."""
    if wish.until is not None and wish.until < today:
        return None
    reasons = tuple(reasons_of(wish, piece))
    if any(reason.answer == Answer.CONTRADICTED for reason in reasons):
        return None
    return Match(reasons)


def reasons_of(wish: Wish, piece: Piece) -> Iterator[Reason]:
    """One reason for each thing stated, in the order of the form."""
    if wish.kind:
        yield _same(wish.kind, piece.kind, "It is of the kind sought: {}.", "")
    if wish.maker:
        yield _same(wish.maker, piece.maker, "It is by the maker sought: {}.", "Who made it is not known.")
    if wish.model:
        yield _same(wish.model, piece.model, "It is the model sought: {}.", "Its model is not known.")
    if wish.configuration:
        yield _configuration(wish.configuration, piece)
    if wish.made_from is not None or wish.made_to is not None:
        yield _years(wish, piece)
    if wish.word is not None:
        yield _word(wish.word, wish.word_said, piece)
    if wish.price is not None:
        yield _price(wish.price, piece)


def place(match: Match, asked_at: datetime, number: int) -> tuple[int, datetime, int]:
    """What those whose wishes meet a piece are sorted by; `number` tells apart who asked at the same instant."""
    return -match.met, asked_at, number


def _same(sought: Named, found: Named | None, says: str, unknown: str) -> Reason:
    if found is None:
        return Reason(Answer.PERHAPS, unknown)
    if found.key == sought.key:
        return Reason(Answer.MET, says.format(found.name))
    return Reason(Answer.CONTRADICTED, f"{sought.name} is sought; it is {found.name}.")


def _configuration(sought: Named, piece: Piece) -> Reason:
    if piece.stands and piece.stands.key == sought.key:
        return Reason(Answer.MET, f"It stands in the configuration sought: {sought.name}.")
    if piece.made_as and piece.made_as.key == sought.key:
        return Reason(Answer.MET, f"It was made in the configuration sought: {sought.name}.")
    if piece.stands is None or piece.made_as is None:
        lacking = "as it stands" if piece.stands is None else "as made"
        return Reason(Answer.PERHAPS, f"{sought.name} is sought; its configuration {lacking} is not known.")
    return Reason(Answer.CONTRADICTED, f"{sought.name} is sought; it neither was made nor stands as that.")


def _years(wish: Wish, piece: Piece) -> Reason:
    first, last = wish.made_from, wish.made_to
    early, late = piece.earliest, piece.latest
    years = span(first, last)
    if early is None and late is None:
        return Reason(Answer.PERHAPS, f"When it was made is not known; sought is {years}.")
    made = f"Made {piece.made or span(early, late)}"
    if _before(late, first) or _before(last, early):
        return Reason(Answer.CONTRADICTED, f"{made}; sought is {years}.")
    surely_late_enough = first is None or (early is not None and first <= early)
    surely_early_enough = last is None or (late is not None and late <= last)
    if surely_late_enough and surely_early_enough:
        return Reason(Answer.MET, f"{made}, within {years}.")
    if early is None or late is None:
        return Reason(Answer.PERHAPS, f"{made}: perhaps within {years}.")
    return Reason(Answer.MET, f"{made}, which reaches into {years}.")


def _before(one: int | None, other: int | None) -> bool:
    return one is not None and other is not None and one < other


def span(first: int | None, last: int | None) -> str:
    """Years in words: “1925 to 1935”, “1925 and after”, “up to 1935”."""
    if first is None:
        return f"up to {last}" if last is not None else "any year"
    if last is None:
        return f"{first} and after"
    return str(first) if first == last else f"{first} to {last}"


def _word(sought: Word, said: str, piece: Piece) -> Reason:
    if piece.word is None:
        return Reason(Answer.PERHAPS, f"Its originality is not known; sought is at least: {said}.")
    if ORDER[piece.word] <= ORDER[sought]:
        return Reason(Answer.MET, f"{piece.word_said}; sought is at least: {said}.")
    return Reason(Answer.CONTRADICTED, f"{piece.word_said}; sought is at least: {said}.")


def _price(sought: Money, piece: Piece) -> Reason:
    if piece.price is None:
        asked = "The price is on request" if piece.on_request else "The price is not set yet"
        return Reason(Answer.PERHAPS, f"{asked}; sought is up to {sought}.")
    if piece.price.currency != sought.currency:
        return Reason(Answer.PERHAPS, f"It costs {piece.price}, and {sought} are another currency.")
    if piece.price.amount <= sought.amount:
        return Reason(Answer.MET, f"It costs {piece.price}, within {sought}.")
    return Reason(Answer.CONTRADICTED, f"It costs {piece.price}; sought is up to {sought}.")
