"""Money that comes in, from values alone: the surcharge on a card, another currency, the day it came in."""

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from shop.money import Money, minor_units


class Quoted(NamedTuple):
    """An amount in another currency, with the rate it was quoted at: units of the sale's currency for one of it."""

    amount: Decimal
    currency: str
    rate: Decimal
    on: date
    source: str


def surcharge_on(amount: Decimal, percent: Decimal, currency: str) -> Decimal:
    """The surcharge on an amount paid by card, rounded half up to the minor unit."""
    return Money(amount * percent / 100, currency).amount


def comes_to(quoted: Quoted, currency: str) -> Decimal:
    """What the amount counts for in the currency of the sale, rounded half up to its minor unit."""
    return Money(quoted.amount * quoted.rate, currency).amount


def may_count_as(counted: Decimal, quoted: Quoted, currency: str) -> bool:
    """Whether an amount of the other currency may settle `counted`.

    The least unit of the other currency can be worth more than one of ours, so that no amount of it meets a balance
    exactly. What is counted may therefore lie off by less than that one unit. Common practice, no source.
    """
    step = quoted.rate.scaleb(-minor_units(quoted.currency))
    least = Decimal(1).scaleb(-minor_units(currency))
    return abs(counted - quoted.amount * quoted.rate) < step + least / 2


def day_refused(day: date, *, today: date, asked: date | None) -> str:
    """Why money cannot have come in on `day`; empty when it can."""
    if day > today:
        return "Money cannot have come in after today. Check the day."
    if asked is not None and day < asked:
        return (
            f"The hold was asked for on {asked:%-d %B %Y}, so no money came in for it before. Check the day."
        )
    return ""
