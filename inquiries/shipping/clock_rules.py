"""What a time on the wall of a buyer means, and until when damage is to be reported: from values alone.

Zones and their changes are those of the IANA time zone database. When clocks are put forward, an hour is left out, and
when they are put back, an hour comes twice: so a time on the wall is no instant, one instant, or two.
"""

from datetime import UTC, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

# Where most people of a state live; many states have a second zone. From memory, common practice.
STATE_ZONES: Final = {
    "America/New_York": [
        "CT",
        "DC",
        "DE",
        "FL",
        "GA",
        "MA",
        "MD",
        "ME",
        "NC",
        "NH",
        "NJ",
        "NY",
        "OH",
        "PA",
        "RI",
        "SC",
        "VA",
        "VT",
        "WV",
        "KY",
    ],
    "America/Detroit": ["MI"],
    "America/Indiana/Indianapolis": ["IN"],
    "America/Chicago": [
        "AL",
        "AR",
        "IA",
        "IL",
        "KS",
        "LA",
        "MN",
        "MO",
        "MS",
        "ND",
        "NE",
        "OK",
        "SD",
        "TN",
        "TX",
        "WI",
    ],
    "America/Denver": ["CO", "MT", "NM", "UT", "WY"],
    "America/Boise": ["ID"],
    "America/Phoenix": ["AZ"],
    "America/Los_Angeles": ["CA", "NV", "OR", "WA"],
    "America/Anchorage": ["AK"],
    "Pacific/Honolulu": ["HI"],
    "America/Puerto_Rico": ["PR", "VI"],
    "Pacific/Guam": ["GU", "MP"],
}
PROVINCE_ZONES: Final = {
    "America/Toronto": ["ON", "QC", "NU"],
    "America/Halifax": ["NS", "PE"],
    "America/Moncton": ["NB"],
    "America/St_Johns": ["NL"],
    "America/Winnipeg": ["MB"],
    "America/Regina": ["SK"],
    "America/Edmonton": ["AB", "NT"],
    "America/Vancouver": ["BC"],
    "America/Whitehorse": ["YT"],
}
AUSTRALIAN_ZONES: Final = {
    "Australia/Sydney": ["NSW", "ACT", "JBT"],
    "Australia/Melbourne": ["VIC"],
    "Australia/Brisbane": ["QLD"],
    "Australia/Adelaide": ["SA"],
    "Australia/Hobart": ["TAS"],
    "Australia/Darwin": ["NT"],
    "Australia/Perth": ["WA"],
}
REGION_ZONES: Final = {"US": STATE_ZONES, "CA": PROVINCE_ZONES, "AU": AUSTRALIAN_ZONES}


def zone_of_region(country: str, region: str) -> str:
    """The zone that is proposed for a state or a province; empty where none is written down."""
    zones = REGION_ZONES.get(country, {})
    return next((zone for zone, regions in zones.items() if region in regions), "")


def instants(wall: datetime, zone: ZoneInfo) -> tuple[datetime, ...]:
    """The instants at which a clock in `zone` shows `wall` (without a zone): none, one, or two, in their order."""
    found = {wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)}
    return tuple(sorted(one for one in found if one.astimezone(zone).replace(tzinfo=None, fold=0) == wall))


def left_out(wall: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Of a time that no clock of `zone` shows: what they showed before and after, were it the one or the other."""
    early, late = (wall.replace(tzinfo=zone, fold=fold).astimezone(UTC).astimezone(zone) for fold in (1, 0))
    return early, late


def damage_until(delivered: datetime, days: int, zone: ZoneInfo) -> datetime:
    """The instant by which damage is to be reported, end out: the end of the day, on the buyer's calendar, that is
    `days` days after the day of delivery. Our reading of “within so many days of delivery”; the day itself is not
    counted. Common practice, no source: the terms of the carrier or the insurer count."""
    day = delivered.astimezone(zone).date() + timedelta(days=days + 1)
    midnight = instants(datetime.combine(day, time()), zone)
    # Where the clocks skip midnight, the day begins when they come out of the gap.
    return midnight[0] if midnight else left_out(datetime.combine(day, time()), zone)[1].astimezone(UTC)
