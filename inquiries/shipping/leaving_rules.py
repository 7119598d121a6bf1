"""What must be written down before a piece leaves, from values alone."""

import re
from typing import Final

from shop.money import Money

DIGITS: Final = 5  # a year has four
MIXED: Final = 3

NO_NUMBER: Final = "Write the kind of paper, never its number, which is worth stealing: “Passport” is enough."
NO_PICTURE: Final = (
    "No photograph was taken before sealing. Send one above, or write down why there is none: "
    "without it nobody can show how it was packed."
)
WHO_CAME: Final = "Write who came for it, and how you knew the person."


def over_limit(declared: Money | None, limit: Money | None) -> bool:
    """Whether a declared value is above what the shop's own policy insures; never told between currencies."""
    if declared is None or limit is None or declared.currency != limit.currency:
        return False
    return declared.amount > limit.amount


def says_over(declared: Money, limit: Money) -> str:
    """The sentence of a parcel above the limit."""
    return (
        f"The declared value, {declared}, is above the {limit} that your own policy insures for one parcel. "
        "Ask the insurer first, or write down why it goes all the same."
    )


def names_a_number(text: str) -> bool:
    """Whether a text has what looks like the number of a document: five figures in a row, with or without blanks,
    dots or hyphens between, or a word of letters and three figures or more. Our own rule, no source."""
    joined = re.sub(r"(?<=\d)[\s./-]+(?=\d)", "", text)
    for word in re.findall(r"[^\W_]+", joined):
        figures = sum(sign.isdigit() for sign in word)
        if figures >= DIGITS or (figures >= MIXED and figures < len(word)):
            return True
    return False
