"""The pages that one process keeps, up to so many bytes; those asked for least lately go first.

A page that was asked for once waits in a small hall. Asked for again, it moves into the house. So a visitor who
tries a thousand addresses fills the hall, and turns nobody out of the house.
"""

from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass, field
from threading import Lock

from shop.kept.rules import PLAIN
from shop.kept.stamps import Stamp, Stamps

OF_ONE = 8  # a page larger than this part of all the room is not kept
OF_HALL = 4  # the part of the room for pages that were asked for once


@dataclass(slots=True)
class Page:
    """A page as it was made: its headers, a mark of its content, and how long it is good.

    `forms` are those that it may be sent in; `packed` holds the ones that somebody has asked for.
    """

    headers: dict[str, str]
    mark: str
    plain: bytes
    forms: tuple[str, ...] = (PLAIN,)
    quality: int = 0
    packed: dict[str, bytes] = field(default_factory=dict)
    rests_on: Stamps = field(default_factory=dict)
    until: float = 0.0
    anything: Stamp | None = None

    @property
    def bytes(self) -> int:
        """The room it takes, with some for its packed forms and for what is around it."""
        return 2000 + len(self.plain) * 3 // 2


class Memory:
    """Pages by their addresses."""

    def __init__(self, most_bytes: int) -> None:
        self.most_bytes = most_bytes
        self._hall: OrderedDict[Hashable, Page] = OrderedDict()
        self._house: OrderedDict[Hashable, Page] = OrderedDict()
        self._lock = Lock()
        self._bytes = {id(self._hall): 0, id(self._house): 0}

    def __len__(self) -> int:
        return len(self._hall) + len(self._house)

    @property
    def bytes(self) -> int:
        """The room taken by all pages."""
        return sum(self._bytes.values())

    def get(self, key: Hashable) -> Page | None:
        """The page, which is now the one asked for last."""
        with self._lock:
            if page := self._house.get(key):
                self._house.move_to_end(key)
            elif page := self._hall.get(key):
                self._take(self._hall, key)
                self._put(self._house, key, page)
                self._make_room()
            return page

    def keep(self, key: Hashable, page: Page) -> None:
        """Keep a page that was just made; the one before it goes."""
        with self._lock:
            place = self._house if key in self._house else self._hall
            self._take(place, key)
            if page.bytes <= self.most_bytes // OF_ONE:
                self._put(place, key, page)
                self._make_room()

    def forget(self) -> None:
        """Forget all pages."""
        with self._lock:
            for pages in (self._hall, self._house):
                pages.clear()
                self._bytes[id(pages)] = 0

    def _put(self, pages: OrderedDict[Hashable, Page], key: Hashable, page: Page) -> None:
        pages[key] = page
        self._bytes[id(pages)] += page.bytes

    def _take(self, pages: OrderedDict[Hashable, Page], key: Hashable) -> None:
        if page := pages.pop(key, None):
            self._bytes[id(pages)] -= page.bytes

    def _make_room(self) -> None:
        hall = self.most_bytes // OF_HALL
        for pages, most in ((self._hall, hall), (self._house, self.most_bytes - hall)):
            while self._bytes[id(pages)] > most:
                self._take(pages, next(iter(pages)))
