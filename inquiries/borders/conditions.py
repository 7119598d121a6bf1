"""What a rule may hang on, written as people read it, and whether it holds: yes, no, or not to be told.

A line is one way to meet it, of parts joined by “ and ”; several lines are alternatives. Whatever is not known, or
lies on both sides of a limit, is None: then the authority is asked. Nothing here is decided by a middle of a span.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final, NamedTuple

Sure = bool | None  # yes, no, or not to be told


class Span(NamedTuple):
    """The first and the last day on which it can have been; None for an end that is open."""

    earliest: date | None = None
    latest: date | None = None


OPEN: Final = Span()


@dataclass(frozen=True)
class Item:
    """One material of one part: what it can be, when it was taken from nature, when it was put on."""

    name: str
    species: tuple[str, ...]  # it is one of these; nobody may know which
    sort: str
    taken: Span = OPEN
    fitted: Span = OPEN
    evidence: str = ""
    doubts: tuple[str, ...] = ()  # what is missing of the two spans, or contradicts itself


@dataclass(frozen=True)
class Shipment:
    """What is sent on a day, from where to where, for what, and what it is made of.

    `finish` is instrument, product, raw or "" (not known); weight and volume are None when nobody has measured.
    """

    on: date
    leaving: str
    entering: str
    purpose: str = ""
    goods: str = ""
    finish: str = ""
    made: Span = OPEN
    kilograms: Decimal | None = None
    percent: Decimal | None = None
    items: tuple[Item, ...] = ()


class Case(NamedTuple):
    """A shipment, the one material that is looked at (None: the piece as a whole), and all that the rule concerns."""

    shipment: Shipment
    item: Item | None
    concerned: tuple[Item, ...] = ()


class Condition(NamedTuple):
    """One part of a line: its words, whether it holds, what would settle it, and whether it reads a part's dates."""

    words: str
    holds: Callable[[Case], Sure]
    wanted: str
    of_the_part: bool = False


Alternatives = tuple[tuple[Condition, ...], ...]


class UnreadableCondition(ValueError):
    """A line that cannot be read; `message` says how lines are written."""

    def __init__(self, words: str) -> None:
        self.message = f"“{words}” cannot be read. Write one of: {'; '.join(HOW_TO_WRITE)}."
        super().__init__(self.message)


def both(values: Iterable[Sure]) -> Sure:
    """Yes when each is yes; no when one is no."""
    seen = list(values)
    return False if False in seen else None if None in seen else True


def either(values: Iterable[Sure]) -> Sure:
    """Yes when one is yes; no when each is no."""
    return opposite(both(opposite(value) for value in values))


def opposite(value: Sure) -> Sure:
    """No for yes; what cannot be told stays so."""
    return None if value is None else not value


def before(span: Span, day: date) -> Sure:
    """Whether it was before `day`, that day itself not among them."""
    if span.latest is not None and span.latest < day:
        return True
    return False if span.earliest is not None and span.earliest >= day else None


def years_on(day: date, years: int) -> date:
    """The same day `years` later; of 29 February the first of March where there is none."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def aged(made: Span, years: int, on: date, *, over: bool) -> Sure:
    """Whether it is at least `years` old on a day; with `over`, whether it is older than that."""

    def old(day: date) -> bool:
        return years_on(day, years) < on if over else years_on(day, years) <= on

    if made.latest is not None and old(made.latest):
        return True
    return False if made.earliest is not None and not old(made.earliest) else None


def alternatives(text: str) -> Alternatives:
    """Read lines of conditions; UnreadableCondition for one that cannot be read."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return tuple(tuple(_condition(part.strip()) for part in line.split(" and ")) for line in lines)


def _condition(words: str) -> Condition:
    for pattern, make in READERS:
        if found := pattern.fullmatch(words):
            try:
                return make(words, *found.groups())
            except ValueError:  # a day that does not exist
                break
    raise UnreadableCondition(words)


def _age(words: str, how: str, years: str) -> Condition:
    def holds(case: Case) -> Sure:
        return aged(case.shipment.made, int(years), case.shipment.on, over=how == "over")

    return Condition(words, holds, f"evidence of the date of make that settles whether it is {words}")


def _made(words: str, day: str) -> Condition:
    limit = date.fromisoformat(day)
    return Condition(
        words,
        lambda case: before(case.shipment.made, limit),
        f"evidence of the date of make that settles whether it was made before {day}",
    )


def _taken(words: str, day: str) -> Condition:
    limit = date.fromisoformat(day)
    return Condition(
        words,
        lambda case: before(case.item.taken, limit) if case.item else None,
        f"evidence of the day on which the material was taken, before {day} or not",
        of_the_part=True,
    )


def _added(words: str, day: str) -> Condition:
    limit = date.fromisoformat(day)
    return Condition(
        words,
        lambda case: both(before(item.fitted, limit) for item in case.concerned),
        f"a statement that nothing of a listed species was repaired or added on or after {day}",
        of_the_part=True,
    )


def _finish(words: str, what: str) -> Condition:
    enough = {"instrument"} if what == "instrument" else {"instrument", "product"}

    def holds(case: Case) -> Sure:
        return case.shipment.finish in enough if case.shipment.finish else None

    return Condition(words, holds, f"whether what is sent is a finished {what}")


def _kilograms(words: str, most: str) -> Condition:
    def holds(case: Case) -> Sure:
        found = case.shipment.kilograms
        return None if found is None else found <= Decimal(most)

    return Condition(words, holds, "the weight of the wood of listed species in the whole shipment")


def _percent(words: str, less: str) -> Condition:
    def holds(case: Case) -> Sure:
        found = case.shipment.percent
        return None if found is None else found < Decimal(less)

    return Condition(words, holds, "the share of ivory in the whole volume, in per cent")


def _purpose(words: str, purpose: str) -> Condition:
    wanted = purpose.replace(" ", "-")

    def holds(case: Case) -> Sure:
        return case.shipment.purpose == wanted if case.shipment.purpose else None

    return Condition(words, holds, "what it is sent for")


def _goods(words: str, goods: str) -> Condition:
    wanted = goods.replace(" ", "-")

    def holds(case: Case) -> Sure:
        return case.shipment.goods == wanted if case.shipment.goods else None

    return Condition(words, holds, "what kind of goods it is")


DAY: Final = r"(\d{4}-\d{2}-\d{2})"
AMOUNT: Final = r"(\d{1,4}(?:\.\d{1,3})?)"
GOODS: Final = ("fretted", "bowed", "electric", "strings", "fretted parts", "electric parts")
READERS: Final[list[tuple[re.Pattern[str], Callable[..., Condition]]]] = [
    (re.compile(r"(at least|over) (\d{1,3}) years old"), _age),
    (re.compile(rf"made before {DAY}"), _made),
    (re.compile(rf"taken before {DAY}"), _taken),
    (re.compile(rf"nothing added on or after {DAY}"), _added),
    (re.compile(r"finished (instrument|product)"), _finish),
    (re.compile(rf"up to {AMOUNT} kg"), _kilograms),
    (re.compile(rf"under {AMOUNT} % by volume"), _percent),
    (re.compile(r"sent for (sale|loan|own use)"), _purpose),
    (re.compile(rf"goods are ({'|'.join(GOODS)})"), _goods),
]
HOW_TO_WRITE: Final = (
    "at least 100 years old",
    "over 100 years old",
    "made before 1947-03-03",
    "taken before 1992-06-11",
    "nothing added on or after 1973-12-28",
    "finished instrument",
    "finished product",
    "up to 10 kg",
    "under 20 % by volume",
    "sent for sale (loan, own use)",
    "goods are fretted (bowed, electric, strings, fretted parts, electric parts)",
)
