"""A date as a dealer types it, into EDTF. What can be read in two ways is refused with both of them."""

import re
from collections.abc import Iterator
from typing import Final, NamedTuple, NoReturn

from catalog.dating.edtf import MONTHS, NotEdtf, parse

# The shop's own choice, and shown wherever it is used: first and last digit of the year within its decade.
PART_OF_DECADE: Final = {"early": (0, 3), "mid": (4, 6), "late": (7, 9)}
SEASON_CODES: Final = {"spring": 21, "summer": 22, "autumn": 23, "fall": 23, "winter": 24}
HOW_TO_WRITE: Final = (
    "Write it as 1927, May 1927, 12 May 1927, spring 1927, c. 1931, probably 1927, 1920s, late 1920s, 1925 to 1928, "
    "1927 or 1928, not before 1919, not after 1930, or as EDTF."
)

DECADE = re.compile(r"(?:the )?(?:(early|mid|late)[ -])?(?:the )?([0-9]{3}0)['’]?s")
GOING_ON = re.compile(r"since .+|.+ (?:now|today|the present)")

_ABOUT = re.compile(r"(?:circa|approximately|approx\.?|about|ca\.?|c\.?) ?(?=[0-9a-z])")
_PROBABLY = re.compile(r"(?:probably|possibly|perhaps) ")
_IN_DOUBT = re.compile(r" ?(?:\?|\(\?\))$")
_NOT_BEFORE = re.compile(r"(not before|not earlier than|since|after) (.+)|(.+) or (?:later|after)")
_NOT_AFTER = re.compile(r"(not after|not later than|until|before) (.+)|(.+) or (?:earlier|before)")
_CHOICE = re.compile(r"[0-9]{4}(?:, ?[0-9]{4})*,? or [0-9]{4}")
_SHORT_SPAN = re.compile(r"([0-9]{2})([0-9]{2})([-/])([0-9]{2})\??")
_BETWEEN_ENDS = re.compile(r" ?[-–—/] ?| (?:to|until|till|through) ")
_NOW: Final = ("now", "today", "the present")

_DAY_MONTH = re.compile(r"(?:([0-9]{1,2})(?:st|nd|rd|th)? (?:of )?)?([a-z]{3,9})\.?,? ([0-9]{4})")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})")
_FIGURES = re.compile(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{4})")
_SEASON = re.compile(r"(?:the )?(spring|summer|autumn|fall|winter)(?: of)?,? ([0-9]{4})")
_SIGN_OF: Final = {(False, False): "", (True, False): "~", (False, True): "?", (True, True): "%"}


class UnreadableDate(ValueError):
    """What was typed is no date the shop can read; the message says how to write one."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.code = code


class _Point(NamedTuple):
    """A date in words: first and last are the same but for a part of a decade."""

    first: str
    last: str
    about: bool = False

    def ends(self, doubt: bool) -> tuple[str, str]:
        """Both ends in EDTF, with their marks."""
        sign = _SIGN_OF[self.about, doubt]
        return self.first + sign, self.last + sign


def edtf_of(typed: str) -> str:
    """The EDTF for `typed`; text that is EDTF already stays as it is, unless a dealer means something else by it."""
    short = _SHORT_SPAN.fullmatch(typed)
    if short:
        _refuse_two_readings(typed, short)
    # 1925-28 would be a winter in EDTF, by a code that no dealer uses; it is four years.
    if not (short and int(short[4]) > max(SEASON_CODES.values())) and _is_edtf(typed):
        return typed
    edtf = _from_words(typed)
    if not _is_edtf(edtf):
        _refuse(typed)
    return edtf


def _is_edtf(text: str) -> bool:
    """False when it may be words; raises UnreadableDate for a day or a span that cannot be."""
    try:
        parse(text)
    except NotEdtf as error:
        if error.code == "unreadable":
            return False
        raise UnreadableDate(error.message, code=error.code) from error
    return True


def _from_words(typed: str) -> str:
    """Words to EDTF, the doubt first: “probably” and a question mark are ?, “circa” is ~, both are %."""
    words = _IN_DOUBT.sub("", typed.lower())
    doubt = words != typed.lower()
    probably = _PROBABLY.match(words)
    if probably:
        words, doubt = words[probably.end() :], True
    short = _SHORT_SPAN.fullmatch(_without_about(words))
    if short:
        _refuse_two_readings(_without_about(words), short)
    point = _point(words)
    if point:
        return _joined(*point.ends(doubt))
    return _open_span(words, doubt) or _choice(words, doubt) or _span(words, doubt) or _refuse(typed)


def _joined(first: str, last: str) -> str:
    return first if first == last else f"{first}/{last}"


def _without_about(words: str) -> str:
    return _ABOUT.sub("", words, count=1) if _ABOUT.match(words) else words


def _point(words: str) -> _Point | None:
    """One date, or a part of a decade."""
    bare = _without_about(words)
    about = bare != words
    if re.fullmatch(r"[0-9]{4}", bare):
        return _Point(bare, bare, about)
    decade, season = DECADE.fullmatch(bare), _SEASON.fullmatch(bare)
    if decade:
        return _in_decade(decade[1], decade[2], about)
    date = f"{season[2]}-{SEASON_CODES[season[1]]}" if season else _day_or_month(bare)
    return _Point(date, date, about) if date else None


def _in_decade(part: str | None, year: str, about: bool) -> _Point:
    if year.endswith("00"):
        message = f"“{year}s” can be ten years or a hundred. Write {year} to {year[:2]}09, or {year} to {year[:2]}99."
        raise UnreadableDate(message, code="ambiguous")
    first, last = PART_OF_DECADE[part] if part else ("X", "X")
    return _Point(f"{year[:3]}{first}", f"{year[:3]}{last}", about)


def _day_or_month(words: str) -> str | None:
    british, american = _DAY_MONTH.fullmatch(words), _MONTH_DAY.fullmatch(words)
    if british:
        return _in_month(british[3], british[2], british[1])
    if american:
        return _in_month(american[3], american[1], american[2])
    figures = _FIGURES.fullmatch(words)
    return _from_figures(words, int(figures[1]), int(figures[3]), figures[4]) if figures else None


def _in_month(year: str, name: str, day: str | None) -> str | None:
    """None when `name` is no month, written out or cut short after three letters or more (Sept)."""
    number = next((n for n, month in enumerate(MONTHS, 1) if month.lower().startswith(name)), None)
    if number is None:
        return None
    return f"{year}-{number:02d}" + (f"-{int(day):02d}" if day else "")


def _from_figures(typed: str, one: int, other: int, year: str) -> str:
    """5/6/1927 is a day of June in one country and of May in another; 13/6/1927 is only ever in June."""
    if one != other and 1 <= one <= 12 and 1 <= other <= 12:
        days = f"{one} {MONTHS[other - 1]} {year}", f"{other} {MONTHS[one - 1]} {year}"
        message = f"“{typed}” can be read in two ways. Write {days[0]}, or {days[1]}."
        raise UnreadableDate(message, code="ambiguous")
    day, month = (other, one) if other > 12 else (one, other)
    return f"{year}-{month:02d}-{day:02d}"


def _open_span(words: str, doubt: bool) -> str | None:
    """An end that is named counts as possible. Which end of a decade “after” and “before” mean is not guessed."""
    after, before = _NOT_BEFORE.fullmatch(words), _NOT_AFTER.fullmatch(words)
    bound = after or before
    point = _point(bound[2] or bound[3]) if bound else None
    if (
        not bound
        or not point
        or (bound[1] in ("after", "before") and point.first[3:4] + point.last[3:4] == "XX")
    ):
        return None
    first, last = point.ends(doubt)
    return f"{first}/.." if after else f"../{last}"


def _choice(words: str, doubt: bool) -> str | None:
    if not _CHOICE.fullmatch(words):
        return None
    years = sorted(set(re.findall(r"[0-9]{4}", words)))
    return f"[{','.join(year + '?' * doubt for year in years)}]" if len(years) > 1 else None


def _span(words: str, doubt: bool) -> str | None:
    """Two dates with a word or a dash between them; “c.” belongs to the one that it stands before."""
    for first, last in _splits(words):
        start = _point(first)
        if start and last in _NOW:
            return f"{start.ends(doubt)[0]}/.."
        finish = _point(last) if start else None
        if start and finish:
            return f"{start.ends(doubt)[0]}/{finish.ends(doubt)[1]}"
    return None


def _splits(words: str) -> Iterator[tuple[str, str]]:
    """Every way to take `words` as two dates; the second year of 1925-28 is written out."""
    if words.startswith("between "):
        first, _, last = words.removeprefix("between ").partition(" and ")
        yield first, last
        return
    bare = words.removeprefix("from ")
    for between in _BETWEEN_ENDS.finditer(bare):
        first, last = bare[: between.start()], bare[between.end() :]
        if re.fullmatch(r"[0-9]{2}", last) and re.search(r"(?<![0-9])[0-9]{4}$", first):
            last = first[-4:-2] + last
        yield first, last


def _refuse_two_readings(typed: str, short: re.Match[str]) -> None:
    """1910-12 is December 1910 in EDTF and three years to a dealer; 1927-05 is only ever a month."""
    year, other, code = short[1] + short[2], short[1] + short[4], int(short[4])
    season = next((name for name, number in SEASON_CODES.items() if number == code), "")
    within = MONTHS[code - 1] if 1 <= code <= 12 else season if short[3] == "-" else ""
    if within and int(short[2]) < code:
        message = f"“{typed}” can be read in two ways. Write {within} {year}, or {year} to {other}."
        raise UnreadableDate(message, code="ambiguous")


def _refuse(typed: str) -> NoReturn:
    if re.search(r"(?<![0-9])[0-9]{2}['’]?s?\??$", typed) and not re.search(r"[0-9]{4}", typed):
        message = f"“{typed}” leaves open which century it is. Write the year with four digits, such as 1927."
        raise UnreadableDate(message, code="two-digits")
    raise UnreadableDate(f"“{typed}” cannot be read as a date. {HOW_TO_WRITE}", code="unreadable")
