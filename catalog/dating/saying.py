"""A date said back in words, with every choice that the shop itself has made in reading it."""

import re
from collections.abc import Sequence
from functools import reduce
from typing import Final

from catalog.dating.edtf import Edtf, parse
from catalog.dating.typed import DECADE, GOING_ON, PART_OF_DECADE
from shop.wording import gettext as _
from shop.wording import gettext_lazy, is_own

MONTHS: Final = (
    gettext_lazy("January"), gettext_lazy("February"), gettext_lazy("March"), gettext_lazy("April"),
    gettext_lazy("May"), gettext_lazy("June"), gettext_lazy("July"), gettext_lazy("August"),
    gettext_lazy("September"), gettext_lazy("October"), gettext_lazy("November"), gettext_lazy("December"),
)  # fmt: skip
SEASONS: Final = {
    21: gettext_lazy("spring %(year)s"),
    22: gettext_lazy("summer %(year)s"),
    23: gettext_lazy("autumn %(year)s"),
    24: gettext_lazy("winter %(year)s"),
}
PARTS: Final = {
    "early": gettext_lazy("early %(decade)ss"),
    "mid": gettext_lazy("mid-%(decade)ss"),
    "late": gettext_lazy("late %(decade)ss"),
}
MEANS: Final = {
    "early": gettext_lazy("“early” means the years ending in %(first)s to %(last)s"),
    "mid": gettext_lazy("“mid” means the years ending in %(first)s to %(last)s"),
    "late": gettext_lazy("“late” means the years ending in %(first)s to %(last)s"),
}
# By what the date is, and by whether it is approximate and uncertain.
DOUBTS: Final = {
    ("date", True, False): gettext_lazy("the shop reads this as approximately that date"),
    ("date", True, True): gettext_lazy(
        "the shop reads this as approximately that date, and it is not certain"
    ),
    ("date", False, True): gettext_lazy("the date is not certain"),
    ("decade", True, False): gettext_lazy("the shop reads this as approximately that decade"),
    ("decade", True, True): gettext_lazy(
        "the shop reads this as approximately that decade, and it is not certain"
    ),
    ("decade", False, True): gettext_lazy("the decade is not certain"),
    ("year", True, False): gettext_lazy("the shop reads this as approximately that year"),
    ("year", True, True): gettext_lazy(
        "the shop reads this as approximately that year, and it is not certain"
    ),
    ("year", False, True): gettext_lazy("the year is not certain"),
}

_DATE = re.compile(r"([0-9]{4})(?:-([0-9]{2})(?:-([0-9]{2}))?)?(?:T.*)?")
_DECADE = re.compile(r"[0-9]{2}[1-9]X")
_PART = re.compile(r"(early|mid|late)[ -](?:the )?[0-9]{3}0")
_COUNTED = re.compile(r"(?:(?:probably|possibly|perhaps) )?(?:before|after|until) |.* or (?:before|after)")


def in_words(edtf: str, typed: str) -> str:
    """`edtf` in words; `typed` tells whether the shop chose the bounds of a decade's part or counted an end."""
    said, notes = _said(edtf, _small(typed)), _notes(edtf, _small(typed))
    if not notes:
        return said
    if len(notes) == 1:
        return _("%(date)s (%(note)s)") % {"date": said, "note": notes[0]}
    return _("%(date)s (%(note)s; %(further)s)") % {"date": said, "note": notes[0], "further": notes[1]}


def as_said(typed: str, edtf: str) -> str:
    """A date for a buyer: as the dealer typed it, or in another language `edtf` in words, without the shop's notes."""
    if is_own() or not edtf:
        return typed
    part = DECADE.fullmatch(_small(typed))
    if part and part[1]:
        return PARTS[part[1]] % {"decade": part[2]}
    return _said(edtf, _small(typed))


def _small(typed: str) -> str:
    return " ".join(typed.lower().split())


def _bare(edtf: str) -> str:
    return re.sub(r"[?~%]", "", edtf)


def _said(edtf: str, typed: str) -> str:
    """`edtf` in words, and no note on it."""
    if edtf[0] in "[{":
        return _set_in_words(edtf)
    return _interval_in_words(edtf, typed) if "/" in edtf else _date_in_words(edtf)


def _date_in_words(edtf: str) -> str:
    """One date, its doubts before it: probably about May 1927."""
    named = parse(edtf)
    date = {"date": _plain(_bare(edtf), named)}
    if named.uncertain and named.approximate:
        return _("probably about %(date)s") % date
    if named.uncertain:
        return _("probably %(date)s") % date
    return _("about %(date)s") % date if named.approximate else date["date"]


def _plain(bare: str, named: Edtf) -> str:
    if bare.endswith("-XX"):
        year = _of_unknown_month(bare)
        said = _("some day of %(date)s") if "-" in bare.removesuffix("-XX") else _("some month of %(date)s")
        return said % {"date": _plain(year, parse(year))}
    if _DECADE.fullmatch(bare):
        return _("the %(decade)ss") % {"decade": f"{bare[:3]}0"}
    parts = _DATE.fullmatch(bare)
    month = int(parts[2] or 0) if parts else 0
    if parts and (month <= len(MONTHS) or month in SEASONS):
        return _in_calendar(parts[1], month, parts[3] or "")
    return _from_day_to_day(named)


def _of_unknown_month(bare: str) -> str:
    """The year or month whose days are unknown."""
    return bare.removesuffix("-XX").removesuffix("-XX")


def _in_calendar(year: str, month: int, day: str) -> str:
    """A year, a season or a month of it (0 for none), or a day."""
    if not month:
        return year
    if month in SEASONS:
        return SEASONS[month] % {"year": year}
    named = {"month": MONTHS[month - 1], "year": year}
    if not day:
        return _("%(month)s %(year)s") % named
    return _("%(day)s %(month)s %(year)s") % {**named, "day": str(int(day))}


def _from_day_to_day(named: Edtf) -> str:
    """What has no shorter name: the first and last day it may be."""
    if (named.first[1:], named.last[1:]) == ((1, 1), (12, 31)):
        return _some_year(named)
    first, last = (
        _in_calendar(str(year), int(month), str(day)) for year, month, day in (named.first, named.last)
    )
    return _("some day from %(first)s to %(last)s") % {"first": first, "last": last}


def _some_year(named: Edtf) -> str:
    return _("some year from %(first)s to %(last)s") % {"first": named.first[0], "last": named.last[0]}


def _notes(edtf: str, typed: str) -> Sequence[str]:
    """What the shop itself has chosen in reading it, and what is in doubt."""
    if edtf[0] in "[{":
        return []
    if "/" not in edtf:
        named = parse(edtf)
        years = _some_year(named) if _DECADE.fullmatch(_of_unknown_month(_bare(edtf))) else ""
        return [note for note in (years, _doubt_in_words(edtf, named)) if note]
    first, last = edtf.split("/")
    if first == "..":
        return _counted(last, typed)
    if last == "..":
        return [] if GOING_ON.fullmatch(typed) else _counted(first, typed)
    return _parts_of_decades(typed) if first and last else []


def _doubt_in_words(edtf: str, named: Edtf) -> str:
    thing = "date" if "-" in edtf else "decade" if "X" in edtf else "year"
    if not (named.approximate or named.uncertain):
        return ""
    if edtf[-1] not in "?~%" or len(_bare(edtf)) < len(edtf) - 1:
        return _("the doubt is about a part of the date only")
    return str(DOUBTS[thing, named.approximate, named.uncertain])


def _counted(end: str, typed: str) -> Sequence[str]:
    """“After 1919” leaves open whether 1919 counts, so the reading is said."""
    if not _COUNTED.match(typed):
        return []
    return [_("the shop counts %(date)s itself") % {"date": _plain(_bare(end), parse(end))}]


def _parts_of_decades(typed: str) -> Sequence[str]:
    """The shop’s own bounds of “early”, “mid” and “late”, where they were used."""
    means = [_means(part) for part in dict.fromkeys(_PART.findall(typed))]
    if not means:
        return []
    every = reduce(lambda one, other: _("%(first)s, and %(last)s") % {"first": one, "last": other}, means)
    return [_("by the shop’s own reading, %(means)s") % {"means": every}]


def _means(part: str) -> str:
    first, last = PART_OF_DECADE[part]
    return MEANS[part] % {"first": first, "last": last}


def _interval_in_words(edtf: str, typed: str) -> str:
    first, last = edtf.split("/")
    if first in ("", ".."):
        end = {"end": _date_in_words(last)}
        return (_("%(end)s or earlier") if first else _("from a time not known to %(end)s")) % end
    start = {"start": _date_in_words(first)}
    if last == "":
        return _("from %(start)s to a time not known") % start
    if last == "..":
        return (_("from %(start)s on") if GOING_ON.fullmatch(typed) else _("%(start)s or later")) % start
    return _("from %(start)s to %(end)s") % {**start, "end": _date_in_words(last)}


def _set_in_words(edtf: str) -> str:
    *first, last = [_member_in_words(member) for member in edtf[1:-1].split(",")]
    said = last
    if first:
        between = _("%(first)s or %(last)s") if edtf[0] == "[" else _("%(first)s and %(last)s")
        said = between % {"first": ", ".join(first), "last": last}
    return said if edtf[0] == "[" else _("all of %(dates)s") % {"dates": said}


def _member_in_words(member: str) -> str:
    first, dots, last = member.partition("..")
    if not dots:
        return _date_in_words(first)
    if first and last:
        return _("%(start)s to %(end)s") % {"start": _date_in_words(first), "end": _date_in_words(last)}
    if first:
        return _("%(start)s or later") % {"start": _date_in_words(first)}
    return _("%(end)s or earlier") % {"end": _date_in_words(last)}
