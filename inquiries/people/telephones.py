"""Telephone numbers: kept as ITU-T E.164 writes them, shown as their country does."""

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumberFormat


def e164(written: str, country: str = "") -> str:
    """The number as E.164 has it (“+442079460958”); empty when it cannot be read as a number that may exist.

    `country`, two letters of ISO 3166, is where a number without a country code is dialled.
    """
    try:
        number = phonenumbers.parse(written, country or None)
    except NumberParseException:
        return ""
    if not phonenumbers.is_possible_number(number):
        return ""
    return phonenumbers.format_number(number, PhoneNumberFormat.E164)


def shown(number: str, *, at: str) -> str:
    """An E.164 number as somebody in the country `at` dials it: nationally at home, internationally from abroad."""
    try:
        read = phonenumbers.parse(number)
    except NumberParseException:
        return number
    home = phonenumbers.region_code_for_number(read) == at
    form = PhoneNumberFormat.NATIONAL if home else PhoneNumberFormat.INTERNATIONAL
    return phonenumbers.format_number(read, form)
