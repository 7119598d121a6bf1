"""What is said to a reader, in the reader's language: English, unless the address of the page says otherwise.

Rules that compute sentences take their words from here. A sentence is one whole message with named places
(“The %(part)s is missing.”), never glued from pieces, since another language may turn it round. The language is
that of the page being made (`shop/languages`); at the desk, on papers and in letters it is English.

Figures and dates of the calendar are written here as well, in that language: `number`, `day_of`, `month_of`,
`month_name`, `moment_of`, `moment_in_zone`. Money writes itself (`shop/money.py`), and so do measures
(`shop/units.py`). What the dealer typed is shown as it was typed, and says which language it is in: see `own_words` and
`own_lang` in `shop/templatetags/trade.py`.
"""

from collections.abc import Iterable
from contextlib import AbstractContextManager
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from functools import cache

from babel import Locale
from babel.dates import format_date, format_datetime, get_timezone_name
from django.utils.translation import get_language, gettext, gettext_lazy, ngettext, override, pgettext

__all__ = [
    "day_of",
    "gettext",
    "gettext_lazy",
    "in_own",
    "inside",
    "is_own",
    "joined",
    "language",
    "locale",
    "moment_in_zone",
    "moment_of",
    "month_name",
    "month_of",
    "ngettext",
    "number",
    "pgettext",
    "shipped",
]

OWN = "en"  # what the dealer types, and what the shop's words are written in
LOWERING = frozenset({"en"})
# How each language writes a day and an instant, in the signs of Unicode (UTS #35, “Date Format
# Patterns”). One that is not named here writes them as English does.
DAYS = {"en": "d MMMM y", "de": "d. MMMM y"}
MOMENTS = {"en": "EEE d MMM y, h:mm a", "de": "EEE d. MMM y, HH:mm 'Uhr'"}


def language() -> str:
    """The language of the page being made, as two letters."""
    return (get_language() or "en")[:2]


def shipped(name: str) -> str:
    """A name that came with the shop (a part, a measure, a kind), in the reader's language; any other as typed."""
    return gettext(name) if name else ""


def inside(name: str) -> str:
    """A name inside a sentence: “Neck and heel” becomes “neck and heel”, where the language writes it small."""
    return name[:1].lower() + name[1:] if language() in LOWERING else name


def joined(names: Iterable[str]) -> str:
    """Names in one line: “rim, neck and heel”."""
    *first, last = list(names) or [""]
    if not first:
        return last
    return gettext("%(first)s and %(last)s") % {"first": ", ".join(first), "last": last}


def is_own() -> bool:
    """Whether the page being made is in the language in which the dealer types."""
    return language() == OWN


def in_own() -> AbstractContextManager[None]:
    """Speak the language in which the dealer types, on whatever page: for what is kept, compared or looked for."""
    return override(OWN)


def locale() -> Locale:
    """How the language of the page writes figures, money and dates."""
    return _locale_of(language())


@cache
def _locale_of(code: str) -> Locale:
    return Locale.parse("en_US" if code == OWN else code)


def number(value: Decimal | Fraction | int | str) -> str:
    """A figure as exactly as it was given, without idle noughts: “15.2” is “15,2” in German. A text is a figure too.

    Thousands are not set apart: it stands among years and measures. A fraction must end as a decimal.
    """
    exact = Decimal(value.numerator) / value.denominator if isinstance(value, Fraction) else Decimal(value)
    mark: str = locale().number_symbols["latn"]["decimal"]
    text = f"{exact:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace(".", mark)


def day_of(day: date) -> str:
    """A day of the calendar: “25 November 2026”, in German “25. November 2026”."""
    return format_date(day, DAYS.get(language(), DAYS[OWN]), locale=locale())


def month_of(year: int, month: int) -> str:
    """A month of a year: “November 2026”. The year may be one that no calendar of a program has, so it is not one."""
    return f"{month_name(month)} {year:04}"


def month_name(month: int) -> str:
    """January is 1; “March” is “März” in German."""
    return str(locale().months["format"]["wide"][month])


def moment_of(instant: datetime) -> str:
    """An instant in its own zone: “Wed 25 Nov 2026, 4:05 pm”, in German “Mi. 25. Nov. 2026, 16:05 Uhr”.

    In the hour that comes twice when the clocks are set back, it says which of the two is meant.
    """
    written = format_datetime(
        instant, MOMENTS.get(language(), MOMENTS[OWN]), tzinfo=instant.tzinfo, locale=locale()
    )
    written = written.replace("AM", "am").replace("PM", "pm") if is_own() else written
    return _with_zone(written, instant) if _comes_twice(instant) else written


def moment_in_zone(instant: datetime) -> str:
    """An instant with whose clock it is read from: “Wed 25 Nov 2026, 4:05 pm (Eastern Standard Time)”."""
    written = moment_of(instant)
    return written if _comes_twice(instant) else _with_zone(written, instant)


def _with_zone(written: str, instant: datetime) -> str:
    return f"{written} ({get_timezone_name(instant, width='long', locale=locale())})"


def _comes_twice(instant: datetime) -> bool:
    """Whether the clock of its zone shows this time twice on this day."""
    return instant.replace(fold=0).utcoffset() != instant.replace(fold=1).utcoffset()
