"""The one word on originality that a whole instrument may carry, from its parts and its configuration."""

from collections.abc import Iterable
from enum import StrEnum

# Values of Finding.State; a repaired part is still the original part.
ORIGINAL = frozenset({"original", "repaired"})
REFINISHED = "refinished"
NOT_EXAMINED = "not-examined"
ADDED_WORDS = {"unknown": "not known", "missing": "missing"}
NAMED_AT_MOST = 3
IN_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


class Claim(StrEnum):
    """The five claims; the value stands in addresses."""

    ALL_ORIGINAL = "all-original"
    BUT_FOR = "but-for"
    CONVERTED = "converted"
    REFINISHED = "refinished"
    NOT_EXAMINED = "not-examined"


WORDS = {
    Claim.ALL_ORIGINAL: "Every examined part original",
    Claim.BUT_FOR: "Original but for …",
    Claim.CONVERTED: "Converted",
    Claim.REFINISHED: "Refinished",
    Claim.NOT_EXAMINED: "Not yet examined",
}


def claim(states: Iterable[str], *, converted: bool) -> Claim:
    """The claim that the states of an instrument's parts support; the first that fits, in this order.

    Converted: it stands in another configuration than it was made in. Refinished: some part is
    refinished or re-plated. Catalogue queries compute the same in SQL (catalog/originality/queries.py).
    """
    examined = {state for state in states if state != NOT_EXAMINED}
    if converted:
        return Claim.CONVERTED
    if not examined:
        return Claim.NOT_EXAMINED
    if REFINISHED in examined:
        return Claim.REFINISHED
    return Claim.BUT_FOR if examined - ORIGINAL else Claim.ALL_ORIGINAL


def spoken(what: Claim, parts: Iterable[tuple[str, str]]) -> str:
    """The claim as it heads a listing; `parts` are (name, state) in the order of the sheet."""
    if what == Claim.REFINISHED:
        return f"Refinished: {_joined([name for name, state in parts if state == REFINISHED])}"
    if what != Claim.BUT_FOR:
        return WORDS[what]
    named = [_named(name, state) for name, state in parts if state not in ORIGINAL | {NOT_EXAMINED}]
    return f"Original but for {_joined(named)}"


def briefly(what: Claim, exceptions: int) -> str:
    """The claim as it stands under a plate; `exceptions` parts are not original, as catalogue queries count."""
    if what != Claim.BUT_FOR:
        return WORDS[what]
    many = IN_WORDS[exceptions] if exceptions < len(IN_WORDS) else str(exceptions)
    return f"Original but for {many} {'part' if exceptions == 1 else 'parts'}"


def _named(name: str, state: str) -> str:
    added = ADDED_WORDS.get(state)
    return f"{name} ({added})" if added else name


def _joined(names: list[str]) -> str:
    lower = [name[:1].lower() + name[1:] for name in names]
    if len(lower) > NAMED_AT_MOST + 1:
        lower = [*lower[:NAMED_AT_MOST], f"{len(lower) - NAMED_AT_MOST} more parts"]
    return " and ".join(filter(None, [", ".join(lower[:-1]), lower[-1]]))
