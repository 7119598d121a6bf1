"""How a browser's wishes are read: which form of a page it takes, and whether it has the page already.

Source: RFC 9110, sections 8.8.3 (entity tags), 12.5.3 (Accept-Encoding) and 13.1.2 (If-None-Match).
"""

import re
from collections.abc import Collection
from functools import lru_cache

PLAIN = "identity"
_TAG = re.compile(r'(?:W/)?("[^"]*")')


@lru_cache(maxsize=200)
def best_of(header: str, offered: tuple[str, ...]) -> str:
    """The form of a page that a browser likes best, of those `offered` in our own order; the plain one otherwise."""
    likes = _likes(header)
    rest = likes.get("*", 0.0)
    liked = {name: likes.get(name, rest) for name in offered if name != PLAIN}
    best = max(liked, key=lambda name: liked[name], default=PLAIN)
    return best if liked.get(best) else PLAIN


def _likes(header: str) -> dict[str, float]:
    """How much each form is liked, from 0 (not taken) to 1."""
    likes = {}
    for part in header.lower().split(","):
        name, _, weight = part.partition(";")
        likes[name.strip()] = _weight(weight)
    return likes


def _weight(text: str) -> float:
    name, _, value = text.partition("=")
    if name.strip() != "q":
        return 1.0
    try:
        return min(max(float(value), 0.0), 1.0)
    except ValueError:
        return 0.0


def has_it(if_none_match: str, tag: str) -> bool:
    """Whether a browser that sent this header has the page with that tag (weak comparison: W/ does not matter)."""
    return if_none_match.strip() == "*" or tag in _TAG.findall(if_none_match)


def is_plain_address(query: str, known: Collection[str], most: int) -> bool:
    """Whether a query names only what the page knows, each once and filled in, and is no longer than `most`."""
    if not query:
        return True
    parts = [part.partition("=") for part in query.split("&")]
    names = [name for name, _, _ in parts]
    filled = all(value for _, _, value in parts)
    return len(query) <= most and filled and len(set(names)) == len(names) and set(names) <= set(known)
