"""A language for tests, in which every message stands in brackets: what stands outside of them was not translated.

    with in_brackets():
        assert one_message(sentence)

It stands in for German, for rules, templates and whole pages alike. A name within a sentence has brackets of its own
(⟦The ⟦Neck and heel⟧ is missing.⟧), so a sentence that was glued from pieces is seen by what stands between them.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from gettext import NullTranslations
from unittest.mock import patch

from django.utils import translation
from django.utils.translation import trans_real

LANGUAGE = "de"
OPENS, CLOSES = "⟦", "⟧"
CONTEXT = "\x04"  # what gettext puts between a context and its message


class Brackets(NullTranslations):
    """Translates a message into itself, in brackets."""

    def gettext(self, message: str) -> str:
        """The message in brackets, without its context."""
        return f"{OPENS}{message.rpartition(CONTEXT)[2]}{CLOSES}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The one or the many, as German chooses."""
        return self.gettext(msgid1 if n == 1 else msgid2)

    def language(self) -> str:
        """The language it stands in for."""
        return LANGUAGE

    def to_language(self) -> str:
        """The same, by the name that Django asks for."""
        return LANGUAGE


@contextmanager
def in_brackets() -> Iterator[None]:
    """Speak in brackets; a page asked for under /de/ does too."""
    with patch.dict(trans_real._translations, {LANGUAGE: Brackets()}), translation.override(LANGUAGE):
        yield


def one_message(text: str) -> bool:
    """Whether `text` is one whole message: the bracket that opens it closes at its end."""
    return outermost(text) == [text]


def outermost(text: str) -> list[str]:
    """The messages of `text` and whatever stands between them, in their order; blanks between them are left out."""
    pieces, depth = [""], 0
    for letter in text:
        if letter == OPENS and not depth:
            pieces.append("")
        depth += {OPENS: 1, CLOSES: -1}.get(letter, 0)
        pieces[-1] += letter
        if letter == CLOSES and not depth:
            pieces.append("")
    assert not depth, f"a bracket is left open: {text}"
    return [piece for piece in pieces if piece.strip()]


def unspoken(text: str) -> list[str]:
    """What of `text` stands outside of every message."""
    return [piece.strip() for piece in outermost(text) if not piece.startswith(OPENS)]
