"""Lengths and masses, kept exactly as they were measured and shown in both systems.

1 in = 25.4 mm and 1 lb = 453.59237 g, both exactly: international yard and pound agreement, 1959.
Nothing is rounded on the way in. Only the figure in brackets, the converted one, is rounded, half up.
They are typed in English, and written in the language of the page (`shop/wording.py`).
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import ClassVar, Final, Self

from shop import wording
from shop.wording import gettext as _

MM_PER_INCH: Final = Fraction(254, 10)
GRAMS_PER_POUND: Final = Fraction(45359237, 100000)
GRAMS_PER_OUNCE: Final = GRAMS_PER_POUND / 16
LENGTH_UNITS: Final = {"in64": MM_PER_INCH / 64, "mm10": Fraction(1, 10)}  # millimetres in one step
# A scale that reads "6.2 lb" has no exact place among quarter-ounces, so hundredths of a pound stand beside them.
MASS_UNITS: Final = {"g": Fraction(1), "oz4": GRAMS_PER_OUNCE / 4, "lb100": GRAMS_PER_POUND / 100}  # grams

GLYPHS: Final = {"½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8)}
GLYPH_OF: Final = {Fraction(*parts): glyph for glyph, parts in GLYPHS.items()}
LENGTH_WORDS: Final = {
    '"': "in", "in": "in", "inch": "in", "inches": "in", "mm": "mm", "millimetre": "mm", "millimetres": "mm",
    "millimeter": "mm", "millimeters": "mm", "cm": "cm", "centimetre": "cm", "centimetres": "cm",
    "centimeter": "cm", "centimeters": "cm",
}  # fmt: skip
LENGTH_STEPS: Final = {"in": ("in64", 64), "mm": ("mm10", 10), "cm": ("mm10", 100)}
MASS_WORDS: Final = {
    "g": "g", "gram": "g", "grams": "g", "kg": "kg", "kilogram": "kg", "kilograms": "kg",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz", "ounce": "oz", "ounces": "oz",
}  # fmt: skip

_DECIMAL = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6}")
_FRACTION = re.compile(r"(?:([0-9]{1,6})[ -]+)?([0-9]{1,3})/([0-9]{1,3})")
_BRACKET = re.compile(r"\s*\([^()]*\)\s*$")
_MEASURE = re.compile(r'([0-9./ -]*[0-9])\s*([a-z"]*)\.?')
_POUNDS_OUNCES = re.compile(
    r"([0-9]{1,6})\s*(?:lbs?|pounds?)\.?\s*,?\s*([0-9./ -]*[0-9])\s*(?:oz|ounces?)\.?"
)

SAY_LENGTH: Final = "Write it as 26 1/4 in, 26.25 in, 667 mm or 66.7 cm."
SAY_MASS: Final = "Write it as 6 lb 3 oz, 6.2 lb, 2810 g or 2.81 kg."


class UnreadableMeasure(ValueError):
    """What was typed is no exact measure; the message says what to type, `code` is for the program."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.code = code


@dataclass(frozen=True, slots=True)
class _Measure:
    """A whole number of steps of one unit. Equal means measured alike: 1 in is not equal to 25.4 mm."""

    amount: int
    unit: str
    steps: ClassVar[dict[str, Fraction]] = {}

    def __post_init__(self) -> None:
        if self.unit not in self.steps:
            raise UnreadableMeasure(f"There is no unit “{self.unit}” for this measure.", code="unknown-unit")
        if type(self.amount) is not int or self.amount < 0:
            raise UnreadableMeasure(
                "A measure is a whole number of steps, not below zero.", code="bad-amount"
            )

    @classmethod
    def from_stored(cls, amount: int, unit: str) -> Self:
        """The measure from its two columns: whole steps and the unit's short name."""
        return cls(amount, unit)

    @property
    def stored(self) -> tuple[int, str]:
        """The two columns: whole steps and the unit's short name."""
        return self.amount, self.unit


@dataclass(frozen=True, slots=True)
class Length(_Measure):
    """A length as it was measured: whole 64ths of an inch ("in64") or whole tenths of a millimetre ("mm10")."""

    steps: ClassVar[dict[str, Fraction]] = LENGTH_UNITS

    @property
    def mm(self) -> Fraction:
        """Exactly this many millimetres."""
        return self.amount * LENGTH_UNITS[self.unit]

    @property
    def inches(self) -> Fraction:
        """Exactly this many inches."""
        return self.mm / MM_PER_INCH

    def __str__(self) -> str:
        inches, mm = _inches_text(self.inches), _mm_text(self.mm, exact=self.unit == "mm10")
        return _with_bracket(inches, mm) if self.unit == "in64" else _with_bracket(mm, inches)


@dataclass(frozen=True, slots=True)
class Mass(_Measure):
    """A mass as it was weighed: whole grams ("g"), quarter-ounces ("oz4") or hundredths of a pound ("lb100")."""

    steps: ClassVar[dict[str, Fraction]] = MASS_UNITS

    @property
    def grams(self) -> Fraction:
        """Exactly this many grams."""
        return self.amount * MASS_UNITS[self.unit]

    @property
    def pounds(self) -> Fraction:
        """Exactly this many pounds avoirdupois."""
        return self.grams / GRAMS_PER_POUND

    def __str__(self) -> str:
        if self.unit == "g":
            return _with_bracket(_exact_grams_text(self.amount), _rounded_ounces_text(self.grams))
        pounds = _("%(number)s lb") % {"number": _decimal_text(self.amount, 2)}
        weighed = _ounces_text(self.amount) if self.unit == "oz4" else pounds
        return _with_bracket(weighed, _rounded_grams_text(self.grams))


def parse_length(text: str) -> Length:
    """Read a length as a dealer types it; its own display is read too, without the bracket.

    Raises UnreadableMeasure for no unit, an unknown unit, or a figure that is no whole 64th or tenth.
    A fraction without a unit is inches, because nothing else at the bench is written so.
    """
    number, word = _number_and_word(text, SAY_LENGTH)
    if not word and "/" not in _tidied(text):
        raise UnreadableMeasure(f"“{text.strip()}” has no unit. {SAY_LENGTH}", code="no-unit")
    if (word or "in") not in LENGTH_WORDS:
        raise UnreadableMeasure(f"“{word}” is no unit of length here. {SAY_LENGTH}", code="unknown-unit")
    unit, steps = LENGTH_STEPS[LENGTH_WORDS[word or "in"]]
    return Length(_whole(number * steps, text, _length_advice(number, unit)), unit)


def parse_mass(text: str) -> Mass:
    """Read a mass as a dealer types it; its own display is read too, without the bracket.

    Raises UnreadableMeasure for no unit, an unknown unit, or a figure that has no exact step.
    """
    both = _POUNDS_OUNCES.fullmatch(_tidied(text))
    if both:
        return _pounds_and_ounces(int(both[1]), _read(both[2], text, SAY_MASS), text)
    number, word = _number_and_word(text, SAY_MASS)
    if not word:
        raise UnreadableMeasure(f"“{text.strip()}” has no unit. {SAY_MASS}", code="no-unit")
    if word not in MASS_WORDS:
        raise UnreadableMeasure(f"“{word}” is no unit of mass here. {SAY_MASS}", code="unknown-unit")
    return _mass(number, MASS_WORDS[word], text)


def _mass(number: Fraction, unit: str, text: str) -> Mass:
    if unit in ("g", "kg"):
        grams = number * (1000 if unit == "kg" else 1)
        return Mass(_whole(grams, text, "Masses in grams are kept as whole grams."), "g")
    if unit == "lb" and "." in _tidied(text) and (number * 100).denominator == 1:
        return Mass(int(number * 100), "lb100")
    quarters = number * (64 if unit == "lb" else 4)
    return Mass(_whole(quarters, text, "Ounces are kept to the quarter, pounds to two decimals."), "oz4")


def _pounds_and_ounces(pounds: int, ounces: Fraction, text: str) -> Mass:
    if ounces >= 16:
        raise UnreadableMeasure(
            f"“{text.strip()}” has 16 ounces or more beside pounds.", code="too-many-ounces"
        )
    return Mass(_whole(pounds * 64 + ounces * 4, text, "Ounces are kept to the quarter."), "oz4")


def _tidied(text: str) -> str:
    """Lower case, no bracket, plain quotes, each fraction glyph spelled out.

    Unicode normalisation would turn 26¼ into 261/4, so glyphs are replaced one by one.
    """
    plain = _BRACKET.sub("", text).replace("⁄", "/").replace("″", '"').replace("”", '"').replace("“", '"')
    for glyph, (top, bottom) in GLYPHS.items():
        plain = plain.replace(glyph, f" {top}/{bottom}")
    return " ".join(plain.lower().split())


def _number_and_word(text: str, advice: str) -> tuple[Fraction, str]:
    parts = _MEASURE.fullmatch(_tidied(text))
    if not parts:
        raise UnreadableMeasure(f"“{text.strip()}” cannot be read as a measure. {advice}", code="unreadable")
    return _read(parts[1], text, advice), parts[2]


def _read(digits: str, text: str, advice: str) -> Fraction:
    if _DECIMAL.fullmatch(digits):
        return Fraction(digits)
    parts = _FRACTION.fullmatch(digits)
    if not parts:
        raise UnreadableMeasure(f"“{text.strip()}” cannot be read as a measure. {advice}", code="unreadable")
    top, bottom = int(parts[2]), int(parts[3])
    if not 0 < top < bottom:
        raise UnreadableMeasure(
            f"“{top}/{bottom}” is not a fraction below one. {advice}", code="bad-fraction"
        )
    return int(parts[1] or 0) + Fraction(top, bottom)


def _whole(steps: Fraction, text: str, advice: str) -> int:
    if steps.denominator != 1:
        message = f"“{text.strip()}” cannot be kept exactly. {advice}"
        raise UnreadableMeasure(message, code="not-exact")
    return steps.numerator


def _length_advice(number: Fraction, unit: str) -> str:
    if unit == "mm10":
        return "Millimetres are kept to the tenth."
    nearest = _inches_text(Fraction(_half_up(number * 64), 64))
    return f"Inches are kept in whole 64ths; the nearest is {nearest}. Write that, or give millimetres."


def _half_up(value: Fraction) -> int:
    return floor(value + Fraction(1, 2))


def _mixed_text(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    if rest in GLYPH_OF:
        return f"{whole or ''}{GLYPH_OF[rest]}"
    return f"{whole} {rest}" if whole else str(rest)


def _with_bracket(measured: str, converted: str) -> str:
    return _("%(measured)s (%(converted)s)") % {"measured": measured, "converted": converted}


def _decimal_text(amount: int, places: int) -> str:
    """A whole number of tenths, hundredths or thousandths, exactly, without idle noughts."""
    return wording.number(Fraction(amount, 10**places))


def _inches_text(inches: Fraction) -> str:
    sixty_fourths = _half_up(inches * 64)
    if inches and not sixty_fourths:
        return _("under 1/64 in")
    return _("%(number)s in") % {"number": _mixed_text(Fraction(sixty_fourths, 64))}


def _mm_text(mm: Fraction, *, exact: bool) -> str:
    """Below 100 mm a whole millimetre would hide an action or a nut width, so a tenth is shown."""
    tenths = _half_up(mm * 10) if exact or mm < 100 else _half_up(mm) * 10
    return _("%(number)s mm") % {"number": _decimal_text(tenths, 1)}


def _ounces_text(quarters: int) -> str:
    pounds, rest = divmod(quarters, 64)
    ounces = _mixed_text(Fraction(rest, 4))
    if not pounds:
        return _("%(number)s oz") % {"number": ounces}
    if not rest:
        return _("%(number)s lb") % {"number": pounds}
    return _("%(pounds)s lb %(ounces)s oz") % {"pounds": pounds, "ounces": ounces}


def _rounded_ounces_text(grams: Fraction) -> str:
    """Whole ounces from a pound up, quarters below."""
    step = 1 if grams < GRAMS_PER_POUND else 4
    quarters = _half_up(grams / GRAMS_PER_OUNCE * 4 / step) * step
    return _("under ¼ oz") if grams and not quarters else _ounces_text(quarters)


def _exact_grams_text(grams: int) -> str:
    return _grams(grams) if grams < 1000 else _kilograms(grams, 3)


def _rounded_grams_text(grams: Fraction) -> str:
    whole = _half_up(grams)
    return _grams(whole) if whole < 1000 else _kilograms(_half_up(grams / 10), 2)


def _grams(grams: int) -> str:
    return _("%(number)s g") % {"number": wording.number(grams)}


def _kilograms(amount: int, places: int) -> str:
    return _("%(number)s kg") % {"number": _decimal_text(amount, places)}
