"""Evidence that was struck off, and what it still holds back. The shop's own rule: no source.

What was struck off is put back in thought, the last striking first, until the record stands as it was before the
first of them. What is said of the record counts as carried only if it was carried in each of these states too. Since
the state right before a striking is always among them, striking alone never makes anything carried. Which years or
owners the evidence leaves is another matter: of that, what was struck off says nothing any more.
"""

from collections.abc import Iterator, Sequence
from typing import TypeVar

T = TypeVar("T")


def before_strikings(standing: Sequence[T], struck: Sequence[T]) -> Iterator[tuple[T, ...]]:
    """What stood before each striking, the last one first; `struck` is in the order of the strikings."""
    for first in reversed(range(len(struck))):
        yield (*standing, *struck[first:])
