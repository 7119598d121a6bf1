"""Which requests are somebody looking at a page, where they came from, and how they are counted up."""

import re
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from ipaddress import ip_address
from typing import Protocol, TypeVar
from urllib.parse import urlsplit

from crawleruseragents import is_crawler

ANSWERED = (200, 304)
FETCHED_AHEAD = ("Sec-Purpose", "Purpose", "X-Purpose", "X-Moz")
ASKED_OF = ("DNT", "Sec-GPC", "Sec-Fetch-Dest", "User-Agent", *FETCHED_AHEAD)
AHEAD = ("prefetch", "prerender", "preview")
HOST = re.compile(r"(?=.{1,253}\Z)(?:[a-z0-9_](?:[a-z0-9_-]*[a-z0-9_])?\.)+[a-z][a-z0-9-]*[a-z0-9]")
LINE = re.compile(r"([1-9][0-9]{0,17}) (\S+) ([0-9a-f]{32})")
NO_HOST = "-"

Key = tuple[int, str]


class Headers(Protocol):
    """What a request says of itself."""

    def get(self, name: str, default: str = "") -> str:
        """The words of one header; `default` when it was not sent."""


Name = TypeVar("Name")


def is_a_view(method: str, status: int, headers: Headers) -> bool:
    """Whether a person who does not mind being counted has looked at the page.

    Not counted: anything but a page asked for and answered, also with “not modified” (RFC 9110, 15.4.5); who asks
    not to be tracked (`DNT: 1`, W3C Tracking Preference Expression, 5.2; `Sec-GPC: 1`, Global Privacy Control); what
    a browser fetches ahead (`Sec-Purpose`, Fetch standard; the three older names are common practice, no source);
    what is fetched for another use than to be shown (`Sec-Fetch-Dest`, W3C Fetch Metadata); programs.
    """
    return (
        method == "GET"
        and status in ANSWERED
        and not wants_no_record(headers)
        and not fetched_ahead(headers)
        and headers.get("Sec-Fetch-Dest", "document") == "document"
        and not is_program(headers.get("User-Agent", ""))
    )


def wants_no_record(headers: Headers) -> bool:
    """Whether the visitor asks not to be tracked, in either of the two ways."""
    return headers.get("DNT", "").strip() == "1" or headers.get("Sec-GPC", "").strip() == "1"


def fetched_ahead(headers: Headers) -> bool:
    """Whether a browser fetches the page in case it is wanted; nobody has looked at it yet."""
    said = "".join([headers.get(name, "") for name in FETCHED_AHEAD]).lower()
    return bool(said) and any(word in said for word in AHEAD)


@lru_cache(maxsize=256)
def is_program(agent: str) -> bool:
    """Whether the sender is a program: by the kept list of crawlers' names, or because it gives no name."""
    return not agent.strip() or is_crawler(agent)


def came_from(referer: str, own: Collection[str]) -> str:
    """The host name in a `Referer` (RFC 9110, 10.1.3); "" when it tells none, or one that is ours.

    Only the name is kept: no path, no port, no log-in. A bare address of the network is left out, and a name
    without a dot: both may be the visitor's own machine.
    """
    try:
        parts = urlsplit(referer.strip())
        host = (parts.hostname or "").rstrip(".")
    except ValueError:
        return ""
    if parts.scheme not in {"http", "https"} or not HOST.fullmatch(host) or _is_number(host):
        return ""
    return "" if host in own else host


def _is_number(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    return True


def line_of(stock: int, host: str, visitor: str) -> str:
    """One view as it is noted."""
    return f"{stock} {host or NO_HOST} {visitor}\n"


def counted(lines: Iterable[str]) -> Counter[Key]:
    """Views by stock number and host. A visitor counts once; a line that was cut off counts for nothing."""
    found: dict[str, Key] = {}
    for line in lines:
        parts = LINE.fullmatch(line.rstrip("\n"))
        if parts:
            host = "" if parts[2] == NO_HOST else parts[2]
            found.setdefault(parts[3], (int(parts[1]), host))
    return Counter(found.values())


@dataclass(frozen=True)
class Looked:
    """How often something was looked at from `first` to `last`, both counted."""

    first: date
    last: date
    total: int
    hosts: tuple[tuple[str, int], ...]
    days: tuple[tuple[date, int], ...]

    @property
    def from_hosts(self) -> int:
        """The views of which a host is known."""
        return sum(views for _, views in self.hosts)


def looked(rows: Iterable[tuple[date, str, int]], first: date, last: date) -> Looked:
    """Sums of (day, host, views), the most first; every day is there, also one without a view."""
    days, hosts = Counter[date](), Counter[str]()
    for day, host, views in rows:
        days[day] += views
        hosts[host] += views
    del hosts[""]
    span = [first + timedelta(days=number) for number in range((last - first).days + 1)]
    return Looked(
        first,
        last,
        days.total(),
        tuple(sorted(hosts.items(), key=lambda pair: (-pair[1], pair[0]))),
        tuple((day, days[day]) for day in span),
    )


def share(views: int, most: int) -> int:
    """How long a bar is drawn, of 100; what was looked at once is seen."""
    return max(1, round(views * 100 / most)) if views and most else 0


def bars(rows: Sequence[tuple[Name, int]]) -> list[tuple[Name, int, int]]:
    """Each name with its views and the length of its bar."""
    most = max((views for _, views in rows), default=0)
    return [(name, views, share(views, most)) for name, views in rows]
