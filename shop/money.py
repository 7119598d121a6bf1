"""Amounts of money: a decimal and an ISO 4217 currency, never one without the other.

Minor units (2 for USD, 0 for JPY, 3 for KWD) are those of ISO 4217, list one; the table below has all that are not two.
CLDR, by which Babel writes amounts, has fewer for some currencies (IQD, RSD, ALL …), since nobody pays in small coin
there any more; an amount is written here with the decimals of ISO 4217. Rounding is half up, away from nought.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal, InvalidOperation
from functools import cache, total_ordering
from typing import Final

from babel.numbers import format_currency, get_currency_symbol, is_currency

from shop.wording import locale

LOCALE: Final = "en_US"  # in which amounts are typed

# Source: ISO 4217, list one, as published by its maintenance agency on 1 January 2026.
_WHOLE: Final = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THOUSANDTHS: Final = "BHD IQD JOD KWD LYD OMR TND"
_TOO_FINE: Final = frozenset({"CLF", "UYW"})  # four decimals
_NO_MONEY: Final = "XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX"  # minor units: not applicable
# Withdrawn, and in list three, which gives no minor units: whole ones are those of CLDR. Old price lists name them.
_WITHDRAWN_WHOLE: Final = "ADP BYR ESP ITL LUF MGF MRO SLL STD TMM TRL ZMK ZWD"
NOT_TWO: Final[Mapping[str, int]] = {
    **dict.fromkeys(f"{_WHOLE} {_WITHDRAWN_WHOLE}".split(), 0),
    **dict.fromkeys(_THOUSANDTHS.split(), 3),
}
FINEST: Final = 3  # decimals that a ledger keeps
MOST: Final = Decimal(10) ** 10  # what its columns have no room for
_PLAIN = re.compile(r"[0-9]{1,12}(?:\.([0-9]+))?")
_DECIMALS = re.compile(r"\.0+")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3}){1,3}(?:\.([0-9]+))?")


class MixedCurrencies(ValueError):
    """Two currencies met in one sum."""

    code = "mixed-currencies"

    def __init__(self, one: str, other: str) -> None:
        super().__init__(f"{one} and {other} cannot be put together. Give both amounts in one currency.")


class UnreadableAmount(ValueError):
    """What was typed is no amount; the message says what to type, `code` is for the program."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.code = code


@cache
def minor_units(currency: str) -> int:
    """Decimals of `currency` by ISO 4217; raises UnreadableAmount for a code in which nothing can be paid here."""
    if not is_currency(currency):
        why = f"“{currency}” is no currency code."
    elif currency in _NO_MONEY.split():
        why = f"“{currency}” is a metal or a unit of account, not money that can be paid."
    elif currency in _TOO_FINE:
        why = f"“{currency}” has four decimals, and amounts are kept here with up to three."
    else:
        return NOT_TWO.get(currency, 2)
    raise UnreadableAmount(f"{why} Write one such as USD.", code="unknown-currency")


@total_ordering
@dataclass(frozen=True, slots=True)
class Money:
    """An amount in one currency, rounded half up to its minor units; it may be below zero.

    Raises TypeError for an amount that is no Decimal, UnreadableAmount for one that is no number or too long.
    """

    amount: Decimal
    currency: str

    def __post_init__(self) -> None:
        if not isinstance(self.amount, Decimal):
            raise TypeError("An amount of money is a Decimal, so that no cent is lost.")
        object.__setattr__(self, "amount", _rounded(self.amount, self.currency))

    def __add__(self, other: "Money") -> "Money":
        return Money(self.amount + self._alike(other), self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.amount - self._alike(other), self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.amount, self.currency)

    def __mul__(self, factor: int | Decimal) -> "Money":
        """The product, rounded half up; a factor is a count or a rate, never money."""
        return Money(self.amount * factor, self.currency)

    def __lt__(self, other: "Money") -> bool:
        return self.amount < self._alike(other)

    def __bool__(self) -> bool:
        return bool(self.amount)

    def __str__(self) -> str:
        return display(self)

    def _alike(self, other: "Money") -> Decimal:
        if self.currency != other.currency:
            raise MixedCurrencies(self.currency, other.currency)
        return other.amount


def zero(currency: str) -> Money:
    """Nothing, in `currency`."""
    return Money(Decimal(0), currency)


def total(amounts: Iterable[Money], currency: str) -> Money:
    """The sum of `amounts`, nothing for none; raises MixedCurrencies when one is not in `currency`."""
    return sum(amounts, start=zero(currency))


def parse_amount(text: str, currency: str, *, kept: int = FINEST) -> Money:
    """Read an amount of nought or more as a dealer types it: 12,500 or 12500.00 or $12,500 or USD 12,500.

    Raises UnreadableAmount for another currency's sign, an amount below nought or too large to be kept, separators that
    can be read in two ways, or more decimals than are `kept` where it goes: none is lost unsaid.
    """
    bare = _without_sign(" ".join(text.split()), currency)
    if bare.startswith(("-", "−", "(")):
        raise UnreadableAmount(
            f"“{text.strip()}” is below nought. Write the amount without a sign.", code="negative"
        )
    parts = _PLAIN.fullmatch(bare) or _GROUPED.fullmatch(bare)
    if not parts:
        raise UnreadableAmount(f"“{text.strip()}” cannot be read. {_advice(currency)}", code="unreadable")
    if parts[1] is not None and len(parts[1]) != minor_units(currency):
        raise UnreadableAmount(
            f"“{text.strip()}” can be read in two ways. {_advice(currency)}", code="ambiguous"
        )
    money = Money(Decimal(bare.replace(",", "")), currency)
    if money.amount >= MOST:
        raise UnreadableAmount(
            f"“{text.strip()}” is more than can be kept. Write an amount below ten thousand million.",
            code="range",
        )
    if money.amount != round(money.amount, kept):
        shorter = f"{money.amount.quantize(Decimal(1).scaleb(-kept), ROUND_DOWN)}0"
        raise UnreadableAmount(
            f"“{text.strip()}” has more decimals than the {kept} that are kept here. Write one such as {shorter}.",
            code="too-fine",
        )
    return money


def display(money: Money) -> str:
    """The amount as it is printed: $12,500 when whole, $12,500.50 otherwise; on a German page 12.500 $."""
    whole, here = money.amount == money.amount.to_integral_value(), locale()
    decimals = "" if whole else f".{'0' * minor_units(money.currency)}"
    pattern = _DECIMALS.sub(decimals, here.currency_formats["standard"].pattern)
    return format_currency(money.amount, money.currency, pattern, locale=here, currency_digits=False)


def _rounded(amount: Decimal, currency: str) -> Decimal:
    if not amount.is_finite():
        raise UnreadableAmount("This is no amount of money. Write a number.", code="not-a-number")
    try:
        rounded = amount.quantize(Decimal(1).scaleb(-minor_units(currency)), rounding=ROUND_HALF_UP)
    except InvalidOperation:
        raise UnreadableAmount("This amount is too long to be true.", code="too-long") from None
    return rounded + 0  # a negative nought becomes a plain one


def _without_sign(text: str, currency: str) -> str:
    for sign in (currency, get_currency_symbol(currency, locale=LOCALE)):
        spaced = " ".join(sign.split())  # one sign, that of XOF, has a space in it
        text = text.removeprefix(spaced).removesuffix(spaced).strip()
    return text


def _advice(currency: str) -> str:
    digits = minor_units(currency)
    cents = f" or 12500.{'0' * digits}" if digits else ", without decimals"
    return f"Write it as 12,500{cents}, in {currency}."
