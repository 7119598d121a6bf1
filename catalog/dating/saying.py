"""A date said back in words, with every choice that the shop itself has made in reading it."""

import re
from typing import Final

from catalog.dating.edtf import MONTHS, Day, Edtf, End, parse
from catalog.dating.typed import GOING_ON, PART_OF_DECADE, SEASON_CODES

SEASON_NAMES: Final = {code: name for name, code in SEASON_CODES.items() if name != "fall"}

_DATE = re.compile(r"([0-9]{4})(?:-([0-9]{2})(?:-([0-9]{2}))?)?(?:T.*)?")
_DECADE = re.compile(r"[0-9]{3}X")
_PART = re.compile(r"(early|mid|late)[ -](?:the )?[0-9]{3}0")


def in_words(edtf: str, typed: str) -> str:
    """`edtf` in words; `typed` tells whether the shop chose the bounds of a decade's part or counted an end."""
    if edtf[0] in "[{":
        return _set_in_words(edtf)
    if "/" in edtf:
        return _interval_in_words(edtf, typed)
    words, named = _date_in_words(edtf), parse(edtf)
    years = f"some year from {_year(named.first)} to {_year(named.last)}" if "the " in words else ""
    notes = "; ".join(note for note in (years, _doubt_in_words(edtf, named)) if note)
    return f"{words} ({notes})" if notes else words


def _bare(edtf: str) -> str:
    return re.sub(r"[?~%]", "", edtf)


def _date_in_words(edtf: str) -> str:
    """One date, its doubts before it: probably about May 1927."""
    named = parse(edtf)
    doubts = ["probably"] * named.uncertain + ["about"] * named.approximate
    return " ".join([*doubts, _plain(_bare(edtf), named)])


def _plain(bare: str, named: Edtf) -> str:
    if bare.endswith("-XX"):
        whole = bare.removesuffix("-XX")
        unit = "day" if "-" in whole else "month"
        return f"some {unit} of {_plain(whole, parse(whole)).removeprefix('some month of ')}"
    if _DECADE.fullmatch(bare) and not bare.endswith("0X"):
        return f"the {bare[:3]}0s"
    parts = _DATE.fullmatch(bare)
    month = int(parts[2] or 0) if parts else 0
    if parts and (month <= 12 or month in SEASON_NAMES):
        name = MONTHS[month - 1] if 1 <= month <= 12 else SEASON_NAMES.get(month, "")
        return " ".join(part for part in (parts[3] and str(int(parts[3])), name, parts[1]) if part)
    return _from_day_to_day(named)


def _from_day_to_day(named: Edtf) -> str:
    """What has no shorter name: the first and last day it may be."""
    if _whole_years(named):
        return f"some year from {_year(named.first)} to {_year(named.last)}"
    return f"some day from {_day_in_words(named.first)} to {_day_in_words(named.last)}"


def _whole_years(named: Edtf) -> bool:
    return (named.first[1:], named.last[1:]) == ((1, 1), (12, 31))


def _year(end: Day | End) -> str:
    return str(end[0])


def _day_in_words(end: Day | End) -> str:
    year, month, day = end
    return f"{day} {MONTHS[int(month) - 1]} {year}"


def _doubt_in_words(edtf: str, named: Edtf) -> str:
    thing = "date" if "-" in edtf else "decade" if "X" in edtf else "year"
    if not (named.approximate or named.uncertain):
        return ""
    if edtf[-1] not in "?~%" or len(_bare(edtf)) < len(edtf) - 1:
        return "the doubt is about a part of the date only"
    near = f"the shop reads this as approximately that {thing}" if named.approximate else ""
    unsure = "it is not certain" if near else f"the {thing} is not certain"
    return ", and ".join(word for word in (near, unsure * named.uncertain) if word)


def _interval_in_words(edtf: str, typed: str) -> str:
    first, last = edtf.split("/")
    words = " ".join(typed.lower().split())
    if first in ("", ".."):
        end = _date_in_words(last)
        return f"from a time not known to {end}" if not first else f"{end} or earlier{_counted(last, words)}"
    start = _date_in_words(first)
    if last == "":
        return f"from {start} to a time not known"
    if last == "..":
        return (
            f"from {start} on" if GOING_ON.fullmatch(words) else f"{start} or later{_counted(first, words)}"
        )
    return f"from {start} to {_date_in_words(last)}{_parts_of_decades(words)}"


def _counted(end: str, words: str) -> str:
    """“After 1919” leaves open whether 1919 counts, so the reading is said."""
    told = re.match(
        r"(?:(?:probably|possibly|perhaps) )?(?:before|after|until) |.* or (?:before|after)", words
    )
    return f" (the shop counts {_plain(_bare(end), parse(end))} itself)" if told else ""


def _parts_of_decades(words: str) -> str:
    """The shop’s own bounds of “early”, “mid” and “late”, where they were used."""
    means = [
        f"“{part}” means the years ending in {PART_OF_DECADE[part][0]} to {PART_OF_DECADE[part][1]}"
        for part in dict.fromkeys(_PART.findall(words))
    ]
    return f" (by the shop’s own reading, {', and '.join(means)})" if means else ""


def _set_in_words(edtf: str) -> str:
    members = [_member_in_words(member) for member in edtf[1:-1].split(",")]
    joined = members[0]
    if len(members) > 1:
        joined = f"{', '.join(members[:-1])} {'or' if edtf[0] == '[' else 'and'} {members[-1]}"
    return joined if edtf[0] == "[" else f"all of {joined}"


def _member_in_words(member: str) -> str:
    first, dots, last = member.partition("..")
    if not dots:
        return _date_in_words(first)
    if first and last:
        return f"{_date_in_words(first)} to {_date_in_words(last)}"
    return f"{_date_in_words(first)} or later" if first else f"{_date_in_words(last)} or earlier"
