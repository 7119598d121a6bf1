"""Which time zones are proposed for a buyer: those of the country first. Names are of the IANA database; which country
a zone lies in is from the Unicode CLDR, as Babel has it."""

from collections.abc import Iterable
from datetime import datetime
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from babel.core import get_global

from inquiries.shipping.address_rules import check
from inquiries.shipping.clock_rules import zone_of_region
from shop.wording import moment_of

Named = list[tuple[str, str]]
# Of countries with several zones, the one where nearly everybody lives: the primary zones of the CLDR, from memory.
MAIN = {
    "CL": "America/Santiago",
    "CN": "Asia/Shanghai",
    "DE": "Europe/Berlin",
    "ES": "Europe/Madrid",
    "NZ": "Pacific/Auckland",
    "PT": "Europe/Lisbon",
}


@cache
def _territories() -> dict[str, list[str]]:
    known = available_timezones()
    found: dict[str, list[str]] = {}
    for zone, country in sorted(get_global("zone_territories").items()):
        if zone in known and "/" in zone:
            found.setdefault(country, []).append(zone)
    return found


def zones_of(country: str) -> list[str]:
    """The zones of a country, in the order of their names; none for one that is not known."""
    return list(_territories().get(country, []))


def proposed_zone(country: str, address: str, *, shop: str) -> str:
    """The zone of the state or province that the address names, or the one that the country has, or else the shop's."""
    region = check(address, country).region if address else ""
    zones = zones_of(country)
    if zone := zone_of_region(country, region) or MAIN.get(country, ""):
        return zone
    return zones[0] if len(zones) == 1 else shop


def zone_groups(country: str) -> list[tuple[str, Named]]:
    """All zones as a list offers them, those of `country` first."""
    first = zones_of(country)
    rest = sorted({zone for zones in _territories().values() for zone in zones} - set(first))
    groups = [("Where the buyer lives", _named(first)), ("Elsewhere", _named(rest))]
    return [(name, zones) for name, zones in groups if zones]


def _named(zones: Iterable[str]) -> Named:
    return [(zone, said(zone)) for zone in zones]


def said(zone: str) -> str:
    """America/New_York as “New York, America”."""
    area, _, place = zone.partition("/")
    return f"{', '.join(reversed(place.replace('_', ' ').split('/')))}, {area}"


def clock_in(instant: datetime, zone: str) -> str:
    """An instant by the clocks of a zone: “Wed 25 Nov 2026, 4:05 pm in New York, America”."""
    return f"{moment_of(instant.astimezone(ZoneInfo(zone)))} in {said(zone)}"
