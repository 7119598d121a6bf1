"""Small words that several parts of a page need."""


def lowered(name: str) -> str:
    """Without its capital, for the middle of a sentence."""
    return name[:1].lower() + name[1:]


def raised(words: str) -> str:
    """With a capital."""
    return words[:1].upper() + words[1:]


def cited(source: str, page: str) -> str:
    """A source with its page: “Price list of 1927, p. 12”."""
    if not page:
        return source
    return f"{source}, {page if page[:1].isalpha() else f'p. {page}'}"
