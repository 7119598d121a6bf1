"""Who may be one person: from values alone, with the reasons. Nothing here decides; it is shown to the dealer.

Two people are suggested as one when at least one of these holds:

1. they write from the same e-mail address, apart from capital letters and from what stands after a plus sign
   (RFC 5233, “subaddress”; what else a provider leaves out is not guessed);
2. they have the same telephone number in ITU-T E.164;
3. their names are the same, apart from capitals, accents and the order of words, and so are postal code and country;
4. their names are alike (half of their trigrams in common) and they live at the same address.

Rules 3 and 4: common practice, no source. The rule looks the same from both sides.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable
from itertools import combinations
from typing import NamedTuple, TypeVar

from catalog.search.rules import trigrams, words_of

T = TypeVar("T")

ALIKE = 0.5
LINES_WITH_A_CODE = 3  # a postal code stands in the last lines of an address
POSTAL_CODES = [
    re.compile(r"\b[A-Z]{1,2}\d[A-Z\d]? ?\d[A-Z]{2}\b"),  # United Kingdom
    re.compile(r"\b[A-Z]\d[A-Z] ?\d[A-Z]\d\b"),  # Canada
    re.compile(r"\b\d{4} ?[A-Z]{2}\b(?!\w)"),  # Netherlands
    re.compile(r"\b\d{5}(?=-\d{4}\b)"),  # United States, with the four further figures
    re.compile(r"\b\d{3} \d{2}\b"),  # Sweden, Greece, Czechia
    re.compile(r"\b\d{3}-\d{4}\b"),  # Japan
    re.compile(r"\b\d{5,6}\b"),
    re.compile(r"\b\d{4}\b"),
]


class Place(NamedTuple):
    """An address as written, with the two letters of its country."""

    lines: str
    country: str


class Person(NamedTuple):
    """What is known of a person that tells them from others."""

    key: int
    name: str
    emails: tuple[str, ...] = ()
    numbers: tuple[str, ...] = ()
    places: tuple[Place, ...] = ()


class Alike(NamedTuple):
    """Two people who may be one, the one kept first before the other, and why."""

    first: int
    second: int
    reasons: tuple[str, ...]


def bare_address(email: str) -> str:
    """An e-mail address without capitals and without a plus part: “Ruth+list@Lane.example” is ruth@lane.example."""
    local, at, domain = email.strip().casefold().rpartition("@")
    return f"{local.split('+')[0] or local}{at}{domain}"


def folded_name(name: str) -> str:
    """A name without capitals, accents and marks, its words in the order of letters."""
    return " ".join(sorted(words_of(name)))


def postal_code(lines: str) -> str:
    """The postal code in the last lines of an address, without blanks; empty where none is seen."""
    last = [line.upper() for line in lines.splitlines() if line.strip()][1:][-LINES_WITH_A_CODE:]
    for line in reversed(last):
        for form in POSTAL_CODES:
            if found := form.findall(line):
                return str(found[-1]).replace(" ", "")
    return ""


def folded_place(place: Place) -> str:
    """An address without capitals, accents and marks; empty where it is too short to tell houses apart."""
    words = words_of(place.lines)
    return " ".join([*words, place.country.casefold()]) if len(words) > 2 else ""


def names_alike(one: str, other: str) -> bool:
    """Whether two names have at least half of their trigrams in common, whatever the order of their words."""
    mine, theirs = _trigrams(one), _trigrams(other)
    return bool(mine and theirs) and len(mine & theirs) >= ALIKE * len(mine | theirs)


def reasons(one: Person, other: Person) -> list[str]:
    """Why the two may be one person, a sentence each, the strongest first; none when nothing says so."""
    said = [f"Both write from {email}." for email in _both(one.emails, other.emails, bare_address)]
    said += [f"Both have the number {number}." for number in _both(one.numbers, other.numbers, str)]
    said += [
        f"Both are called {one.name}, at the postal code {code.rsplit(' ', 1)[0]}."
        for code in _both(_codes(one), _codes(other), str)
        if folded_name(one.name) and folded_name(one.name) == folded_name(other.name)
    ]
    if names_alike(one.name, other.name) and _both(one.places, other.places, folded_place):
        said.append(f"{one.name} and {other.name} live at the same address.")
    return said


def pairs(people: Iterable[Person]) -> list[Alike]:
    """Every two who may be one. Only those who share something are compared, so that many people stay quick."""
    everybody = {person.key: person for person in people}
    sharing: dict[tuple[str, str], set[int]] = defaultdict(set)
    for person in everybody.values():
        for mark in marks(person):
            sharing[mark].add(person.key)
    near = {pair for keys in sharing.values() for pair in combinations(sorted(keys), 2)}
    found = [Alike(*pair, tuple(reasons(*(everybody[key] for key in pair)))) for pair in sorted(near)]
    return [alike for alike in found if alike.reasons]


def marks(person: Person) -> set[tuple[str, str]]:
    """What a person must share with another for any reason to hold."""
    found = {("e-mail", bare_address(email)) for email in person.emails if email}
    found |= {("number", number) for number in person.numbers if number}
    found |= {("code", f"{folded_name(person.name)} {code}") for code in _codes(person)}
    return found | {("place", folded_place(place)) for place in person.places if folded_place(place)}


def _codes(person: Person) -> tuple[str, ...]:
    coded = ((postal_code(place.lines), place.country) for place in person.places)
    return tuple(f"{code} {country}" for code, country in coded if code)


def _both(mine: Iterable[T], theirs: Iterable[T], fold: Callable[[T], str]) -> list[str]:
    shared = {fold(value) for value in mine if value} & {fold(value) for value in theirs if value}
    return sorted(shared - {""})


def _trigrams(name: str) -> frozenset[str]:
    return frozenset().union(*(trigrams(word) for word in words_of(name)))
