"""Amounts in a text, in any writing that a letter may hold: “12,500”, “12.500,00”, “$12.5k”, “twelve and a half grand”.

A figure that can be read in two ways is read in both. The writings are common practice, no source; words are English.
"""

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

SCALES = {
    "hundred": 100, "k": 1000, "thousand": 1000, "grand": 1000, "million": 1_000_000, "mio": 1_000_000,
}  # fmt: skip
UNITS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40,
    "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
JOINTS = {"and", "a", "half", "point"}
HALF = Decimal("0.5")

_SPACE = " \u00a0\u2007\u2009\u202f"
_CODES = "usd|eur|gbp|cad|aud|chf|jpy|sek|dkk|nok"
_GROUPED = rf"[0-9]{{1,3}}(?:[{_SPACE}.,'’·_][0-9]{{3}})+(?:[.,][0-9]{{1,2}})?(?![0-9])"
_PLAIN = r"[0-9]+(?:[.,][0-9]{1,4}(?![0-9]))?"
_FIGURE = re.compile(
    rf"(?P<sign>(?:[$€£¥]|\b(?:us\$|c\$|a\$|{_CODES})\b)[{_SPACE}]?)?"
    rf"(?<![0-9])(?P<number>{_GROUPED}|{_PLAIN})(?P<half>[{_SPACE}]?½)?"
    rf"(?:[{_SPACE}-]?(?P<scale>k|hundred|thousand|grand|million|mio)(?P<rest>[0-9]{{1,3}})?(?![a-z0-9]))?"
    rf"(?P<after>,[-–—]|\.[-–—](?![0-9])|[{_SPACE}]?(?:[$€£¥]|(?:{_CODES}|dollars?|bucks|euros?)\b))?",
    re.IGNORECASE,
)
_MEASURE = re.compile(rf"[{_SPACE}]?(?:mm|cm|lbs?|oz|ounces|kg|g|grams?)\b", re.IGNORECASE)
_PER_CENT = re.compile(rf"[{_SPACE}]?(?:%|‰|per{_SPACE[:1]}?cent\b|pct?\b)", re.IGNORECASE)
_WORD = re.compile(r"[a-z]+|[0-9]+(?:[.,][0-9]+)?", re.IGNORECASE)
_GAP = re.compile(rf"[{_SPACE}\n]+|[{_SPACE}]?[-‐‑–][{_SPACE}]?")
_MONEY_AFTER = re.compile(rf"[{_SPACE}]?(?:[$€£¥]|(?:{_CODES}|dollars?|bucks|euros?)\b)", re.IGNORECASE)


class Figure(NamedTuple):
    """A figure in a text: its place, every way to read it, and how it is written.

    `money` when it is written as money is (with a sign, in groups, with cents, in thousands); `bare` holds the digits
    of one that is nothing but digits; `share` when it is a percentage.
    """

    start: int
    end: int
    values: frozenset[Decimal]
    money: bool = False
    bare: str = ""
    share: bool = False


def figures_in(text: str) -> list[Figure]:
    """Every figure of `text` in its order, whether in digits, in words, or in both. Lengths and weights are none."""
    text = _digits(text)
    in_words = list(_in_words(text))
    found = [
        figure
        for figure in _in_digits(text)
        if not any(word.start <= figure.start < word.end for word in in_words)
    ]
    return sorted([*found, *in_words])


def _digits(text: str) -> str:
    """Every digit of any script as 0 to 9, each in its place, so that the places stay."""
    return "".join(str(int(sign)) if sign.isdecimal() else sign for sign in text)


def _in_digits(text: str) -> Iterator[Figure]:
    for found in _FIGURE.finditer(text):
        start, end = found.span()
        values = _readings(found["number"])
        if found["half"]:
            values = {value + HALF for value in values}
        if found["scale"]:
            scale = SCALES[found["scale"].lower()]
            values = {value * scale + _rest(found["rest"] or "", scale) for value in values}
        share = _PER_CENT.match(text, end)
        if not found["sign"] and not found["after"] and not share and _MEASURE.match(text, end):
            continue
        yield Figure(
            start,
            share.end() if share else end,
            frozenset(values),
            money=bool(found["sign"] or found["after"] or found["scale"] or _as_money(found["number"])),
            bare=found[0] if found[0].isdecimal() else "",
            share=bool(share),
        )


def _rest(digits: str, scale: int) -> Decimal:
    """“12k5” is twelve thousand five hundred."""
    return Decimal(f"0.{digits}") * scale if digits else Decimal(0)


def _as_money(number: str) -> bool:
    return bool(re.search(rf"[{_SPACE}'’·_]|[.,][0-9]{{2,3}}$", number))


def _readings(number: str) -> set[Decimal]:
    """“12.500” is twelve and a half or twelve thousand five hundred, by where the writer lives; so it is both."""
    digits = re.sub(r"[^0-9]", "", number)
    marks = [(place, sign) for place, sign in enumerate(number) if not sign.isdecimal()]
    if not marks:
        return {Decimal(digits)}
    last, sign = marks[-1]
    decimals = len(number) - last - 1
    read = set()
    if decimals == 3:
        read.add(Decimal(digits))
    if sign in ".," and (decimals != 3 or len(marks) == 1):
        read.add(Decimal(digits).scaleb(-decimals))
    return read


def _in_words(text: str) -> Iterator[Figure]:
    for run in _runs(text):
        words = [found[0].lower() for found in run]
        if not any(word in UNITS or word in SCALES for word in words):
            continue
        if all(word not in UNITS and word not in JOINTS for word in words) and len(words) == 1:
            continue
        if (value := _value(words)) is None:
            continue
        start, end = run[0].start(), run[-1].end()
        share, money = _PER_CENT.match(text, end), _MONEY_AFTER.match(text, end)
        yield Figure(
            start,
            (share or money or run[-1]).end(),
            frozenset({value}),
            money=bool(money) or bool(SCALES.keys() & set(words)),
            share=bool(share),
        )


def _runs(text: str) -> Iterator[list[re.Match[str]]]:
    """Words of number that follow one another, with at most “and”, “a” and the like between them."""
    run: list[re.Match[str]] = []
    for found in _WORD.finditer(text):
        if run and not _goes_on(text[run[-1].end() : found.start()], run[-1][0].lower()):
            yield from _trimmed(run)
            run = []
        if _counts(found[0].lower()):
            run.append(found)
        else:
            yield from _trimmed(run)
            run = []
    yield from _trimmed(run)


def _goes_on(gap: str, before: str) -> bool:
    return bool(_GAP.fullmatch(gap)) or (before in SCALES and bool(re.fullmatch(rf",[{_SPACE}\n]*", gap)))


def _counts(word: str) -> bool:
    return word in UNITS or word in SCALES or word in JOINTS or word[:1].isdecimal()


def _trimmed(run: list[re.Match[str]]) -> Iterator[list[re.Match[str]]]:
    """Without “and” at either end; a run that holds no word of number is left to the digits."""
    while run and run[-1][0].lower() in {"and", "a", "point"}:
        run = run[:-1]
    while run and run[0][0].lower() in {"and", "point"}:
        run = run[1:]
    if any(found[0].lower() in UNITS or found[0].lower() in SCALES for found in run):
        yield run


def _value(words: Sequence[str]) -> Decimal | None:
    """What a run of words comes to; None for a run that is no one number (“one two three”)."""
    total, current, parts = Decimal(0), Decimal(0), []
    decimals = ""
    for word in words:
        if word == "point":
            decimals = "0."
        elif word == "half":
            current += HALF
        elif word in SCALES:
            current += Decimal(decimals) if decimals not in {"", "0."} else 0
            decimals = ""
            scaled = (current or Decimal(1)) * SCALES[word]
            total, current = (total, scaled) if word == "hundred" else (total + scaled, Decimal(0))
        elif decimals and word in UNITS:
            decimals += str(UNITS[word])
        elif word in UNITS or word[0].isdecimal():
            value = Decimal(UNITS[word]) if word in UNITS else max(_readings(word))
            if _fits_behind(current, value):
                current += value
            else:
                parts.append(current)
                current = value
    current += Decimal(decimals) if decimals not in {"", "0."} else 0
    if not parts:
        return total + current
    return _as_spoken(parts[0], current) if len(parts) == 1 and not total else None


def _fits_behind(current: Decimal, value: Decimal) -> bool:
    """“Twenty” and “five” are one number, “twelve” and “five” are two."""
    room = 100 if current % 100 == 0 else 10 if current % 10 == 0 and current % 100 >= 20 else 0
    return current == 0 or value < room


def _as_spoken(first: Decimal, last: Decimal) -> Decimal | None:
    """“Ninety-eight fifty” is 9,850 and “twelve five” 12,500, as the trade says it."""
    if not (0 < first < 100 and 0 < last < 100):
        return None
    return first * 1000 + last * 100 if last < 10 else first * 100 + last
