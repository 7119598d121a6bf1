"""Signs that are no letters: they break a page or turn its words round, so they are taken out where words come in."""

import re
from typing import Any

# Control signs but for tab and new line; marks that set the direction of writing; halves of pairs and signs that are
# none. Source: the Unicode Standard, chapter 23, and UAX #9 for the marks of direction (from memory).
NO_LETTER = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


def readable(text: str) -> str:
    """The text without them, each of its line ends written as one sign."""
    return NO_LETTER.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))


def all_readable(content: Any) -> Any:
    """The same for each text in lists and dictionaries, whatever else lies in them."""
    if isinstance(content, str):
        return readable(content)
    if isinstance(content, dict):
        return {name: all_readable(value) for name, value in content.items()}
    if isinstance(content, list | tuple):
        return [all_readable(value) for value in content]
    return content
