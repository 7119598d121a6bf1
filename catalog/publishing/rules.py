"""What a buyer would ask next: the questions that a record leaves open, those asked most first.

The order of the topics is common practice, no source: a buyer asks first whether the neck is straight and how
high the strings stand, and last where the piece has been.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple


class Place(StrEnum):
    """Where an answer would stand; the value is the section of the record."""

    MEASURE = "measurements"
    PART = "parts"
    VIEW = "pictures"
    DATE = "dating"
    SOUND = "recordings"
    PAST = "provenance"


SAYS = {
    Place.MEASURE: "not measured: {}",
    Place.PART: "not examined: {}",
    Place.VIEW: "no picture: {}",
    Place.DATE: "no evidence stands behind the date",
    Place.SOUND: "nothing lets a buyer hear it",
    Place.PAST: "nothing is said of where it has been",
}
NAMED_AT_MOST = 4


class Open(NamedTuple):
    """One thing that the record leaves open, by its name on the sheet."""

    place: Place
    name: str = ""


@dataclass(frozen=True)
class Topic:
    """What buyers ask about. A thing belongs here by a word in its name, or else by its place."""

    name: str
    words: tuple[str, ...] = ()
    rest_of: Place | None = None


TOPICS = (
    Topic("Neck and action", ("action", "neck", "saddle above", "bridge height", "heel")),
    Topic("Frets", ("fret",)),
    Topic("Repairs and changed parts", rest_of=Place.PART),
    Topic("Finish", ("finish", "plating")),
    Topic("Weight", ("weight",)),
    Topic("Case", ("case",)),
    Topic("Pictures", rest_of=Place.VIEW),
    Topic("Sound", rest_of=Place.SOUND),
    Topic("Date", rest_of=Place.DATE),
    Topic("Other measurements", rest_of=Place.MEASURE),
    Topic("Where it has been", rest_of=Place.PAST),
)


@dataclass(frozen=True)
class Question:
    """One question a buyer would ask: its topic, what is missing for the answer, and the section to mend it in."""

    topic: str
    says: str
    section: str


def questions(left_open: Iterable[Open]) -> list[Question]:
    """What is left open, one line a topic, in the order of asking; topics with nothing open are left out."""
    by_topic: dict[str, list[Open]] = {}
    for thing in left_open:
        by_topic.setdefault(_topic_of(thing).name, []).append(thing)
    return [_question(topic.name, by_topic[topic.name]) for topic in TOPICS if topic.name in by_topic]


def _topic_of(thing: Open) -> Topic:
    name = thing.name.lower()
    by_word = (topic for topic in TOPICS if any(word in name for word in topic.words))
    by_place = (topic for topic in TOPICS if topic.rest_of == thing.place)
    return next(by_word, None) or next(by_place)


def _question(topic: str, things: list[Open]) -> Question:
    places = list(dict.fromkeys(thing.place for thing in things))
    said = [
        SAYS[place].format(_named([one.name for one in things if one.place == place])) for place in places
    ]
    return Question(topic, "; ".join(said), places[0].value)


def _named(names: list[str]) -> str:
    lower = [name[:1].lower() + name[1:] for name in names]
    if len(lower) > NAMED_AT_MOST + 1:
        lower = [*lower[:NAMED_AT_MOST], f"{len(lower) - NAMED_AT_MOST} more"]
    return ", ".join(lower)
