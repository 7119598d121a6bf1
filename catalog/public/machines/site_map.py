"""Every public address, in files that keep within the limits of the protocol (sitemaps.org, 0.9)."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from catalog.public.maker_queries import name_addresses
from catalog.public.queries import addresses, many_public

Place = tuple[str, datetime | None]  # the path, and when it last changed where that is known

# Pages of one file. Each stands there once for every language, with all its languages beside it; so a file keeps
# within 50,000 addresses, and by the length of ours within the other limit too, 50 MB.
MOST_PLACES = 8_000
PAGES = ("front", "catalogue", "makers-list", "sold", "about", "terms")


@dataclass(frozen=True)
class SiteMap:
    """What there is: pages, makers and models by their paths, and how many instruments stand behind them."""

    paths: list[str]
    instruments: int

    @property
    def files(self) -> int:
        """In how many files all pages lie."""
        return -(-(len(self.paths) + self.instruments) // MOST_PLACES)

    def places_of(self, number: int) -> list[Place]:
        """The pages of one file, the first being 1, each by its address in the first language."""
        first, last, behind = (number - 1) * MOST_PLACES, number * MOST_PLACES, len(self.paths)
        places: list[Place] = [(path, None) for path in self.paths[first:last]]
        if last > behind:
            places += addresses(max(first - behind, 0), last - behind)
        return places


def site_map() -> SiteMap:
    """The site map as it is now."""
    return SiteMap([reverse(name) for name in PAGES] + name_addresses(), many_public())
