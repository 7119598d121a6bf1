"""Every public address, in files that keep within the limits of the protocol (sitemaps.org, 0.9)."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from catalog.public.maker_queries import name_addresses
from catalog.public.queries import addresses, many_public

Place = tuple[str, datetime | None]  # the path, and when it last changed where that is known

# Of one file. By the length of our addresses it then stays below the other limit too, 50 MB.
MOST_PLACES = 50_000
PAGES = ("front", "catalogue", "makers-list", "sold", "about", "terms")


@dataclass(frozen=True)
class SiteMap:
    """What there is: pages, makers and models by their paths, and how many instruments stand behind them."""

    paths: list[str]
    instruments: int

    @property
    def files(self) -> int:
        """In how many files all addresses lie."""
        return -(-(len(self.paths) + self.instruments) // MOST_PLACES)

    def places_of(self, number: int) -> list[Place]:
        """The addresses of one file, the first being 1."""
        first, last, behind = (number - 1) * MOST_PLACES, number * MOST_PLACES, len(self.paths)
        places: list[Place] = [(path, None) for path in self.paths[first:last]]
        if last > behind:
            places += addresses(max(first - behind, 0), last - behind)
        return places


def site_map() -> SiteMap:
    """The site map as it is now."""
    return SiteMap([reverse(name) for name in PAGES] + name_addresses(), many_public())
