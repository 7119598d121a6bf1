"""Dates of make, as a dealer writes them, kept as EDTF beside the first and last year they name.

EDTF: Library of Congress, Extended Date/Time Format specification, 4 February 2019. A small subset is read:
year, month and day; ? ~ % at the end; unknown last digits; intervals with an open or unknown end; one year of a few.
The specification gives no width for “about”, so none is made up here: c. 1931 names the year 1931 alone.
"""

import re
from calendar import monthrange
from dataclasses import dataclass
from typing import Final, NoReturn

# The shop's own choice, and shown wherever it is used: first and last digit of the year within its decade.
PART_OF_DECADE: Final = {"early": (0, 3), "mid": (4, 6), "late": (7, 9)}
MONTHS: Final = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
HOW_TO_WRITE: Final = (
    "Write it as 1927, May 1927, 12 May 1927, c. 1931, probably 1927, 1920s, late 1920s, 1925 to 1928, "
    "1927 or 1928, not before 1919, not after 1930, or as EDTF."
)

Years = tuple[int | None, int | None]

_EDTF_DATE = re.compile(r"([0-9]{4})(?:-([0-9]{2}|XX)(?:-([0-9]{2}|XX))?)?([?~%]?)")
_EDTF_DIGITS = re.compile(r"([0-9]{2})([0-9]X|XX)")
_EDTF_CHOICE = re.compile(r"\[([0-9]{4}(?:,[0-9]{4}){1,9})\]")

_ABOUT = re.compile(r"(?:circa|approximately|approx\.?|about|ca\.?|c\.?) ?(?=[0-9a-z])")
_PROBABLY = re.compile(r"(?:probably|possibly|perhaps) ")
_DECADE = re.compile(r"(?:the )?(?:(early|mid|late)[ -])?(?:the )?([0-9]{3}0)['’]?s")
_BETWEEN = re.compile(r"(?:between ([0-9]{4}) and|(?:from )?([0-9]{4}) ?(?:to|-|–|until)) ?([0-9]{4})")
_SHORT_SPAN = re.compile(r"([0-9]{2})([0-9]{2}) ?[-–/] ?([0-9]{2})")
_NOT_BEFORE = re.compile(r"(?:not before|not earlier than|after|since) ([0-9]{4})|([0-9]{4}) or later")
_NOT_AFTER = re.compile(r"(?:not after|not later than|before|until) ([0-9]{4})|([0-9]{4}) or earlier")
_CHOICE = re.compile(r"[0-9]{4}(?:, ?[0-9]{4})*,? or [0-9]{4}")
_DAY_MONTH = re.compile(r"(?:([0-9]{1,2}) )?([a-z]{3,9})\.? ([0-9]{4})")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? ([0-9]{1,2}),? ([0-9]{4})")
_SIGN_OF: Final = {(False, False): "", (True, False): "~", (False, True): "?", (True, True): "%"}


class UnreadableDate(ValueError):
    """What was typed is no date the shop can read; the message says how to write one."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.code = code


@dataclass(frozen=True, slots=True)
class MadeDate:
    """A date of make: EDTF, the first and last year it names (None where it is open), and the words as typed."""

    edtf: str
    earliest: int | None
    latest: int | None
    text: str

    @property
    def approximate(self) -> bool:
        """True when the date is only near the truth: ~ or %."""
        return "~" in self.edtf or "%" in self.edtf

    @property
    def uncertain(self) -> bool:
        """True when the source of the date is in doubt: ? or %."""
        return "?" in self.edtf or "%" in self.edtf


def read_date(text: str) -> MadeDate:
    """Read a date of make as a dealer types it, or as EDTF.

    Raises UnreadableDate, with a sentence, for a reversed span, a day that does not exist, a date that can be
    read in two ways, and anything the subset has no place for. The words as typed are kept.
    """
    edtf = _edtf_of(" ".join(text.split()))
    earliest, latest = parse_edtf_years(edtf)
    return MadeDate(edtf, earliest, latest, text.strip())


def parse_edtf_years(edtf: str) -> Years:
    """First and last year that `edtf` names; None for an end that is open or unknown, never a guess.

    Raises UnreadableDate for whatever is outside the subset: times, seasons, years beyond four digits or below
    nought, exponents, significant digits, sets with spans or months, and marks inside a date.
    """
    if "/" in edtf:
        return _interval_years(edtf)
    choice = _EDTF_CHOICE.fullmatch(edtf)
    if choice:
        years = [int(year) for year in choice[1].split(",")]
        return min(years), max(years)
    digits = _EDTF_DIGITS.fullmatch(edtf)
    if digits:
        return int(edtf.replace("X", "0")), int(edtf.replace("X", "9"))
    year = _date_parts(edtf)[0]
    return year, year


def understood(made: MadeDate) -> str:
    """Say a date back in words, with every choice that the shop itself has made in reading it."""
    if "/" in made.edtf:
        return _interval_in_words(made)
    if made.edtf.startswith("["):
        years = made.edtf[1:-1].split(",")
        return f"{', '.join(years[:-1])} or {years[-1]}"
    if "X" in made.edtf and not made.edtf[4:]:
        return f"some year from {made.earliest} to {made.latest}"
    return _date_in_words(made.edtf) + _doubt_in_words(made)


def _edtf_of(typed: str) -> str:
    """The EDTF for `typed`; text that is EDTF already stays as it is."""
    _refuse_two_readings(typed)
    try:
        parse_edtf_years(typed)
    except UnreadableDate as refusal:
        if refusal.code != "unreadable":
            raise
        return _from_words(typed)
    return typed


def _from_words(typed: str) -> str:
    """Words to EDTF, the doubt first: “probably” and a question mark are ?, “circa” is ~, both are %."""
    words = typed.lower()
    unmarked = words.removesuffix("?").rstrip()
    doubt = _PROBABLY.match(unmarked)
    bare = unmarked[doubt.end() :] if doubt else unmarked
    about = _ABOUT.match(bare)
    bare = bare[about.end() :] if about else bare
    sign = _SIGN_OF[bool(about), bool(doubt) or unmarked != words]
    dated = _one_date(bare) or _span(bare)
    if dated:
        return "/".join(f"{end}{sign}" for end in dated)
    plain = None if sign else _plain_words(bare)
    return plain or _refuse(typed)


def _one_date(words: str) -> tuple[str] | None:
    if re.fullmatch(r"[0-9]{4}", words):
        return (words,)
    british, american = _DAY_MONTH.fullmatch(words), _MONTH_DAY.fullmatch(words)
    if british:
        return _in_month(british[3], british[2], british[1])
    return _in_month(american[3], american[1], american[2]) if american else None


def _in_month(year: str, name: str, day: str | None) -> tuple[str] | None:
    """None when `name` is no month, written out or cut short after three letters or more (Sept)."""
    number = next((n for n, month in enumerate(MONTHS, 1) if month.lower().startswith(name)), None)
    if number is None:
        return None
    return (f"{year}-{number:02d}" + (f"-{int(day):02d}" if day else ""),)


def _span(words: str) -> tuple[str, str] | None:
    between, short = _BETWEEN.fullmatch(words), _SHORT_SPAN.fullmatch(words)
    if between:
        return between[1] or between[2], between[3]
    return (short[1] + short[2], short[1] + short[3]) if short else None


def _plain_words(words: str) -> str | None:
    """The ways of writing that carry no further doubt; an end that is named counts as possible."""
    after, before = _NOT_BEFORE.fullmatch(words), _NOT_AFTER.fullmatch(words)
    if after:
        return f"{after[1] or after[2]}/.."
    if before:
        return f"../{before[1] or before[2]}"
    if _CHOICE.fullmatch(words):
        years = sorted(set(re.findall(r"[0-9]{4}", words)))
        return f"[{','.join(years)}]" if len(years) > 1 else None
    decade = _DECADE.fullmatch(words)
    return _decade(decade[1], decade[2]) if decade else None


def _decade(part: str | None, year: str) -> str:
    if year.endswith("00"):
        message = f"“{year}s” can be ten years or a hundred. Write {year} to {year[:2]}09, or {year} to {year[:2]}99."
        raise UnreadableDate(message, code="ambiguous")
    if part is None:
        return f"{year[:3]}X"
    first, last = PART_OF_DECADE[part]
    return f"{year[:3]}{first}/{year[:3]}{last}"


def _refuse_two_readings(typed: str) -> None:
    """1910-12 is December 1910 in EDTF and three years to a dealer; 1927-05 is only ever a month."""
    short = _SHORT_SPAN.fullmatch(typed)
    if short and typed[4] == "-" and int(short[2]) < int(short[3]) <= 12:
        year, other = short[1] + short[2], short[1] + short[3]
        month = f"{MONTHS[int(short[3]) - 1]} {year}"
        message = f"“{typed}” can be read in two ways. Write {month}, or {year} to {other}."
        raise UnreadableDate(message, code="ambiguous")


def _interval_years(edtf: str) -> Years:
    ends = edtf.split("/")
    if len(ends) != 2 or not set(ends) - {"", ".."}:
        _refuse(edtf)
    first, last = (None if end in ("", "..") else _date_parts(end) for end in ends)
    if first and last and first[: len(last)] > last[: len(first)]:
        raise UnreadableDate(
            f"“{edtf}” ends before it begins. Write the earlier date first.", code="reversed"
        )
    return first[0] if first else None, last[0] if last else None


def _date_parts(edtf: str) -> tuple[int, ...]:
    """Year, month and day as far as they are known; raises UnreadableDate for a day that does not exist."""
    parts = _EDTF_DATE.fullmatch(edtf)
    if not parts or (parts[2] == "XX" and parts[3] not in (None, "XX")):
        _refuse(edtf)
    known = tuple(int(part) for part in parts.groups()[:3] if part and part != "XX")
    if len(known) > 1 and not 1 <= known[1] <= 12:
        _refuse(edtf)
    if len(known) > 2 and not 1 <= known[2] <= _days_in(known[0], known[1]):
        message = f"There is no {known[2]} {MONTHS[known[1] - 1]} {known[0]}. Write a day that month has."
        raise UnreadableDate(message, code="no-such-day")
    return known


def _days_in(year: int, month: int) -> int:
    """The calendar module knows no year 0; the year 400 has the same days in the proleptic calendar."""
    return monthrange(year or 400, month)[1]


def _refuse(typed: str) -> NoReturn:
    raise UnreadableDate(f"“{typed}” cannot be read as a date. {HOW_TO_WRITE}", code="unreadable")


def _date_in_words(edtf: str) -> str:
    known = _date_parts(edtf)
    month = f"{MONTHS[known[1] - 1]} " if len(known) > 1 else ""
    day = f"{known[2]} " if len(known) > 2 else ""
    before = {"~": "about ", "?": "probably ", "%": "probably about "}.get(edtf[-1], "")
    return f"{before}{day}{month}{edtf[:4]}"


def _doubt_in_words(made: MadeDate) -> str:
    thing = "date" if "-" in made.edtf else "year"
    says = {
        "~": f" (the shop reads this as approximately that {thing})",
        "?": f" (the {thing} is not certain)",
        "%": f" (the shop reads this as approximately that {thing}, and it is not certain)",
    }
    return says.get(made.edtf[-1], "")


def _interval_in_words(made: MadeDate) -> str:
    first, last = made.edtf.split("/")
    if first in ("", ".."):
        return f"{_date_in_words(last)} or earlier{_named_end(made, 'before')}"
    if last in ("", ".."):
        return f"{_date_in_words(first)} or later{_named_end(made, 'after')}"
    unit = "time" if "-" in made.edtf else "year"
    return f"some {unit} from {_date_in_words(first)} to {_date_in_words(last)}{_part_of_decade(made)}"


def _named_end(made: MadeDate, word: str) -> str:
    """“After 1919” leaves open whether 1919 counts, so the reading is said."""
    named = made.text.lower().startswith(word)
    return f" (the shop counts {made.earliest or made.latest} itself)" if named else ""


def _part_of_decade(made: MadeDate) -> str:
    decade = _DECADE.fullmatch(" ".join(made.text.lower().split()))
    if not decade or not decade[1]:
        return ""
    first, last = PART_OF_DECADE[decade[1]]
    return f" (by the shop's own reading, “{decade[1]}” means the years ending in {first} to {last})"
