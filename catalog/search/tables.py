"""Where the words of one kind of thing stand: which are known, and what says each. How they are kept and dropped.

The catalogue has a pair of tables for the pages of its pieces; the letters at the desk have theirs.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any, TypeVar

from django.db.models import Exists, OuterRef

from catalog.search.models import KnownWord, Said

Lot = TypeVar("Lot")
AT_ONCE = 500  # a statement holds only so many values


@dataclass(frozen=True)
class Words:
    """A model of known words (`word`), one of what says them (`known`, `in_name`), and its column for the sayer."""

    known: Any
    said: Any
    sayer: str

    @property
    def table(self) -> str:
        """The table of known words, after which its trigrams are named."""
        return str(self.known._meta.db_table)

    def keys_of(self, words: Collection[str]) -> dict[str, int]:
        """The key of each word; words that are new become known."""
        found = self._known(words)
        if new := sorted(set(words) - found.keys()):
            self.known.objects.bulk_create((self.known(word=word) for word in new), ignore_conflicts=True)
            found |= self._known(new)
        return found

    def drop_unsaid(self, keys: Iterable[int]) -> None:
        """Of these words, those that nothing says any longer are not known any longer."""
        for some in lots(keys, AT_ONCE):
            self.known.objects.filter(pk__in=some).filter(~self._saying()).delete()

    def drop_every_unsaid(self) -> int:
        """Every word that nothing says any longer is not known any longer; how many those were."""
        return int(self.known.objects.filter(~self._saying()).delete()[0])

    def _known(self, words: Iterable[str]) -> dict[str, int]:
        found: dict[str, int] = {}
        for some in lots(words, AT_ONCE):
            found |= dict(self.known.objects.filter(word__in=some).values_list("word", "pk"))
        return found

    def _saying(self) -> Exists:
        return Exists(self.said.objects.filter(known=OuterRef("pk")))


PIECES = Words(KnownWord, Said, "shelved")


def lots(items: Iterable[Lot], many: int) -> Iterator[list[Lot]]:
    """The items, so many at a time."""
    rest = iter(items)
    while lot := list(islice(rest, many)):
        yield lot
