"""Which places of a list are meant, as one whole number: bit n stands for place n.

Sets of places are then joined and cut with | and &, and counted at once, however long the list is.
"""

from collections.abc import Iterable, Iterator, Sequence


def bits_at(places: Iterable[int], size: int) -> int:
    """The places, each below `size`."""
    held = bytearray(size // 8 + 1)
    for place in places:
        held[place >> 3] |= 1 << (place & 7)
    return int.from_bytes(held, "little")


def places_in(bits: int) -> Iterator[int]:
    """The places, lowest first."""
    marks = bin(bits)[:1:-1]
    place = marks.find("1")
    while place >= 0:
        yield place
        place = marks.find("1", place + 1)


def all_below(size: int) -> int:
    """Every place below `size`."""
    return (1 << size) - 1


def slices_of(amounts: Sequence[tuple[int, int]], size: int) -> list[int]:
    """Whole amounts, each at its place, as a set of places for each binary figure of the amount, lowest first."""
    figures = max((amount.bit_length() for _, amount in amounts), default=0)
    return [bits_at((place for place, amount in amounts if amount >> n & 1), size) for n in range(figures)]


def at_least(slices: Sequence[int], amount: int, among: int) -> int:
    """Of the places `among`, those whose amount is at least `amount` (figure by figure, the highest first)."""
    if amount.bit_length() > len(slices):
        return 0
    more, equal = 0, among
    for n in reversed(range(len(slices))):
        if amount >> n & 1:
            equal &= slices[n]
        else:
            more |= equal & slices[n]
            equal &= ~slices[n]
    return more | equal
