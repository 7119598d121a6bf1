"""Saved phrases: text with fields in braces, filled in from the record, from values alone.

The fields are the shop's own choice: common practice, no source.
"""

import re
from collections.abc import Mapping
from typing import NamedTuple

FIELDS = {
    "name": "the name of the person you write to",
    "piece": "maker and model",
    "title": "maker and model, with the date of make",
    "stock": "the stock number",
    "kind": "what kind of instrument it is",
    "made": "the date of make",
    "price": "the asking price",
    "deposit": "the usual deposit on it",
    "condition": "the condition grade",
    "originality": "the word on the whole",
    "availability": "what a buyer may have of it",
    "address": "the address of its page",
    "date": "today’s date",
    "approval": "the approval period",
    "hold": "the length of a hold",
    "shop": "the name of the shop",
    "owner": "the name of the owner",
    "telephone": "the telephone number of the shop",
}
_FIELD = re.compile(r"\{([^{}]*)\}")


class Unknown(NamedTuple):
    """A pair of braces that holds no field, or a brace without its other half."""

    words: str

    @property
    def message(self) -> str:
        """What is wrong, and what may stand there."""
        every = ", ".join(f"{{{name}}}" for name in FIELDS)
        what = (
            f"“{self.words}” is no field"
            if self.words not in {"{", "}"}
            else f"A “{self.words}” stands alone"
        )
        return f"{what}. In braces may stand: {every}."


class Filled(NamedTuple):
    """The phrase with its fields filled in; `lacking` are fields that the record has nothing for."""

    text: str
    lacking: tuple[str, ...] = ()


def unknown_field(text: str) -> Unknown | None:
    """The first thing in braces that is no field, if any."""
    for found in _FIELD.finditer(text):
        if found[1].strip() not in FIELDS:
            return Unknown(found[0])
    left = _FIELD.sub("", text)
    stray = re.search(r"[{}]", left)
    return Unknown(stray[0]) if stray else None


def fields_in(text: str) -> list[str]:
    """The fields of a phrase, each once, in their order."""
    return list(dict.fromkeys(found.strip() for found in _FIELD.findall(text)))


def filled(text: str, values: Mapping[str, str]) -> Filled:
    """The phrase as it goes into a letter; a value is put in as it is, braces and all."""
    lacking = tuple(name for name in fields_in(text) if not values.get(name))
    return Filled(_FIELD.sub(lambda found: values.get(found[1].strip(), ""), text), lacking)
