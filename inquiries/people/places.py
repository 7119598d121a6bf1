"""Countries and languages by name, and a postal address in the lines that its country reads."""

import re
from functools import cache

from babel import Locale

ENGLISH = Locale("en")
TWO_CAPITALS = re.compile("[A-Z]{2}")
TWO_LETTERS = re.compile("[a-z]{2}")
BETWEEN = re.compile(r"[,;/\n]+")
NO_COUNTRY = {"EU", "EZ", "QO", "UN", "XA", "XB", "ZZ"}  # regions of Unicode's list that are no country
NO_LANGUAGE = {"sh"}  # withdrawn from ISO 639


class UnknownLanguage(ValueError):
    """No language has this name; `message` says so."""

    def __init__(self, typed: str) -> None:
        self.message = (
            f"“{typed}” is no language we know. Write its English name, such as German, "
            "or its two letters of ISO 639, such as de."
        )
        super().__init__(self.message)


@cache
def countries() -> dict[str, str]:
    """Every country by its two letters of ISO 3166, with its name in English (Unicode CLDR), by name."""
    named = {
        str(code): str(name)
        for code, name in ENGLISH.territories.items()
        if TWO_CAPITALS.fullmatch(str(code)) and str(code) not in NO_COUNTRY
    }
    return dict(sorted(named.items(), key=lambda pair: pair[1]))


def country_name(code: str) -> str:
    """The country's name in English; of an unknown code the code itself."""
    return countries().get(code.upper(), code)


@cache
def languages() -> dict[str, str]:
    """Every language by its two letters of ISO 639, with its name in English (Unicode CLDR), by name."""
    named = {
        str(code): str(name)
        for code, name in ENGLISH.languages.items()
        if TWO_LETTERS.fullmatch(str(code)) and str(code) not in NO_LANGUAGE
    }
    return dict(sorted(named.items(), key=lambda pair: pair[1]))


def read_languages(typed: str) -> list[str]:
    """The letters of the languages typed by name or by letters, each once, in their order.

    Raises UnknownLanguage.
    """
    by_name = {name.casefold(): code for code, name in languages().items()}
    found = []
    for word in filter(None, (part.strip() for part in BETWEEN.split(typed))):
        code = word.casefold() if word.casefold() in languages() else by_name.get(word.casefold())
        if code is None:
            raise UnknownLanguage(word)
        found.append(code)
    return list(dict.fromkeys(found))


def language_names(codes: str) -> list[str]:
    """The names of the languages kept; a code that is none stays as it is."""
    kept = filter(None, (part.strip() for part in BETWEEN.split(codes)))
    return [languages().get(code.casefold(), code) for code in kept]


def envelope(lines: str, country: str, *, at: str) -> list[str]:
    """The lines of an address for a letter posted in the country `at`.

    From abroad the name of the country stands last, in capitals, as the Universal Postal Union asks (recalled from
    memory); its own post wants none. A country that is written already is not written twice.
    """
    written = [line.strip() for line in lines.splitlines() if line.strip()]
    if not written or not country or country == at:
        return written
    name = country_name(country)
    if written[-1].casefold() == name.casefold():
        written.pop()
    return [*written, name.upper()]
