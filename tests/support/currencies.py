"""The currencies that a shop can be paid in: of all codes that Babel knows, those that the shop takes."""

from babel.numbers import list_currencies

from shop.money import UnreadableAmount, minor_units


def payable(code: str) -> bool:
    """Whether the shop takes it."""
    try:
        minor_units(code)
    except UnreadableAmount:
        return False
    return True


PAYABLE = sorted(filter(payable, list_currencies("en_US")))
