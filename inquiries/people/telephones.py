"""Telephone numbers: kept as ITU-T E.164 writes them, shown as their country does."""

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumber, PhoneNumberFormat


def e164(written: str, country: str = "") -> str:
    """The number as E.164 has it (“+442079460958”); empty when it cannot be read as a number that may exist.

    `country`, two letters of ISO 3166, is where a number without a country code is dialled.
    """
    number = _read(written, country)
    return phonenumbers.format_number(number, PhoneNumberFormat.E164) if number else ""


def shown(written: str, *, at: str, country: str = "") -> str:
    """A number as somebody in the country `at` dials it: nationally at home, internationally from abroad.

    An extension stays with it. What cannot be read as a number (of `country`) is shown as it was written.
    """
    number = _read(written, country)
    if number is None:
        return written
    home = phonenumbers.region_code_for_number(number) == at
    form = PhoneNumberFormat.NATIONAL if home else PhoneNumberFormat.INTERNATIONAL
    return phonenumbers.format_number(number, form)


def international(written: str, country: str = "") -> str:
    """A number as everybody can dial it, whatever country it is read in; unreadable ones as they were written."""
    return shown(written, at="", country=country)


def figures(written: str) -> str:
    """Only the figures of what was typed, to look for a part of a number."""
    return "".join(sign for sign in written if sign.isdigit())


def _read(written: str, country: str) -> PhoneNumber | None:
    try:
        number = phonenumbers.parse(written, country or None)
    except NumberParseException:
        return None
    return number if phonenumbers.is_possible_number(number) else None
