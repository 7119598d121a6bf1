"""What is said to a reader, in the reader's language: English, unless the address of the page says otherwise.

Rules that compute sentences take their words from here. A sentence is one whole message with named places
(“The %(part)s is missing.”), never glued from pieces, since another language may turn it round. The language is
that of the page being made (`shop/languages`); at the desk, on papers and in letters it is English.
"""

from collections.abc import Iterable

from django.utils.translation import get_language, gettext, gettext_lazy, ngettext, pgettext

__all__ = ["gettext", "gettext_lazy", "inside", "joined", "language", "ngettext", "pgettext", "shipped"]

LOWERING = frozenset({"en"})


def language() -> str:
    """The language of the page being made, as two letters."""
    return (get_language() or "en")[:2]


def shipped(name: str) -> str:
    """A name that came with the shop (a part, a measure, a kind), in the reader's language; any other as typed."""
    return gettext(name) if name else ""


def inside(name: str) -> str:
    """A name inside a sentence: “Neck and heel” becomes “neck and heel”, where the language writes it small."""
    return name[:1].lower() + name[1:] if language() in LOWERING else name


def joined(names: Iterable[str]) -> str:
    """Names in one line: “rim, neck and heel”."""
    *first, last = list(names) or [""]
    if not first:
        return last
    return gettext("%(first)s and %(last)s") % {"first": ", ".join(first), "last": last}
