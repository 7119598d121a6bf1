"""Small words that several parts of a page need."""

from shop.wording import gettext as _


def lowered(name: str) -> str:
    """Without its capital, for the middle of a sentence."""
    return name[:1].lower() + name[1:]


def raised(words: str) -> str:
    """With a capital."""
    return words[:1].upper() + words[1:]


def cited(source: str, page: str) -> str:
    """A source with its page: “Price list of 1927, p. 12”."""
    return f"{source}, {page_in_words(page)}" if page else source


def page_in_words(page: str) -> str:
    """“p. 12” for a mere figure; anything else says by itself what it is."""
    return page if not page or page[:1].isalpha() else _("p. %(page)s") % {"page": page}


def shortened(text: str, most: int) -> str:
    """At most `most` characters of a text: whole sentences if one fits, else whole words, with “…” for the rest."""
    text = text.strip()
    if len(text) <= most:
        return text
    kept = text[: max(most - 2, 1)]
    ends = [kept.rfind(mark) + 1 for mark in (". ", "! ", "? ", ".\n", "!\n", "?\n")]
    end = max(ends)
    if end < most // 3:
        end = max(kept.rfind(" "), kept.rfind("\n"))
    return f"{kept[:end].rstrip() if end > 0 else kept} …"
