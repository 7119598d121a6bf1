"""Received is not cleared: what a bank does with each kind of money, in steps and in words, from values alone.

Common practice where no source is named. Sources read: 12 CFR 229.10 (Regulation CC), in the text of 2003: when a bank
must let its customer have what was handed in, which says nothing about whether it is good; Federal Trade Commission,
“Fake Checks Can Cost You”: days until it can be drawn, weeks until it is found to be false.
"""

from collections.abc import Collection
from typing import NamedTuple

HANDED_IN, SHOWN = "handed-in", "shown"
STEPS = {
    "wire": (SHOWN,),
    "ach": (SHOWN,),
    "card": (SHOWN,),
    "cashiers-check": (HANDED_IN, SHOWN),
    "personal-check": (HANDED_IN, SHOWN),
}
PRACTICE = "Common practice, no source"


class Caution(NamedTuple):
    """What is usually minded with one kind of money, and where that stands."""

    text: str
    source: str


_FAKE = Caution(
    "The bank may let you draw on it within days, and find weeks later that it is false. Then you pay it back.",
    "Federal Trade Commission, “Fake Checks Can Cost You”",
)
_NEXT_DAY = Caution(
    "A bank must usually let you draw on a cashier’s check on the next business day. That is a rule about "
    "availability: it does not say that the check was paid.",
    "12 CFR 229.10 (Regulation CC), read in the text of 2003",
)
CAUTIONS = {
    "wire": (
        Caution(
            "Ask the bank whether it is final. New bank details that came by mail are confirmed by telephone.",
            PRACTICE,
        ),
    ),
    "ach": (
        Caution(
            "A transfer that was drawn from the buyer’s account can be called back for weeks, by a consumer for about "
            "60 days.",
            "Help pages of a payment processor; not read in the rules of the network",
        ),
    ),
    "cashiers-check": (
        Caution(
            "Usually nothing leaves before the bank that issued it has paid: seven to ten working days. Ask that "
            "bank, on a telephone number that does not stand on the check.",
            PRACTICE,
        ),
        _NEXT_DAY,
        _FAKE,
    ),
    "personal-check": (
        Caution(
            "Usually nothing leaves within ten days, and before your bank says that it is paid.", PRACTICE
        ),
        _FAKE,
    ),
    "card": (
        Caution(
            "The holder can dispute a charge for months after it was paid out to you. Keep what proves the delivery, "
            "and send it to the address that belongs to the card.",
            PRACTICE,
        ),
    ),
}


def steps_left(method: str, taken: Collection[str]) -> list[str]:
    """The steps at the bank that can still be noted: each once, and none behind one that was taken."""
    steps = STEPS.get(method, ())
    last = max((steps.index(step) for step in taken if step in steps), default=-1)
    return list(steps[last + 1 :])
