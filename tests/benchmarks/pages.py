"""What a public page costs: requests per second, and bytes of a first visit.

.venv/bin/python -m tests.benchmarks.pages

The invented shop is loaded into a folder of its own (a minute or two; --data FOLDER keeps it for the next run) and
served by Granian as in shop/serving.py. Load comes over loopback from two processes of a plain socket client with
kept connections, on the same machine; the two sides share its cores, so only ratios mean something. Rounds of the
pages that are compared take turns, and the median is told. On a busy machine the server’s own time for an answer is
the better measure: what its processes had of the cores, as Linux counts it.
"""

import argparse
import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlsplit

ROOT = Path(__file__).resolve().parent.parent.parent
SETTINGS = "tests.benchmarks.trivial"
SECONDS, ROUNDS, CLIENTS = 2.0, 5, 2
FIRST_ROUND_TRIP = 14_600  # ten segments of 1,460 bytes: RFC 6928, the first window of a connection
MOST_JAVASCRIPT, MOST_PICTURE = 10_000, 100_000
PHONE_WIDTH, PHONE_DENSITY = 390, 2
BROWSER = {
    "Accept-Encoding": "gzip, deflate, br",
    "User-Agent": "Mozilla/5.0 (benchmark)",
    "Accept": "text/html",
}


def environment(data: Path, **more: str) -> dict[str, str]:
    """The environment of the demo's programs."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("SHOP_")}
    return kept | {"SHOP_MODE": "demo", "SHOP_DATA": str(data), "PYTHONPATH": str(ROOT)} | more


def prepare(data: Path) -> None:
    """Load the invented shop, unless it is there."""
    command = [sys.executable, "manage.py", "demo", "--load-only"]
    subprocess.run(command, cwd=ROOT, env=environment(data), check=True)


@dataclass(frozen=True)
class Server:
    """A running server: its port, and the group of its processes."""

    port: int
    group: int

    def seconds(self) -> float:
        """What its processes have had of the cores."""
        ticks = 0
        for stat in Path("/proc").glob("[0-9]*/stat"):
            with suppress(FileNotFoundError, ProcessLookupError):
                told = stat.read_text().rpartition(")")[2].split()
                if int(told[2]) == self.group:
                    ticks += int(told[11]) + int(told[12])
        return ticks / os.sysconf("SC_CLK_TCK")


@contextmanager
def served(data: Path, **more: str) -> Iterator[Server]:
    """The shop on a free port, by the command that `serve` uses."""
    os.environ.update(environment(data))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from shop.serving import _web  # the same server, with the same workers and threads

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    own = environment(data, DJANGO_SETTINGS_MODULE=SETTINGS, **more)
    server = subprocess.Popen(_web("127.0.0.1", port), cwd=ROOT, env=own, start_new_session=True)
    try:
        _wait_for(port)
        yield Server(port, server.pid)
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        server.wait(timeout=20)


def _wait_for(port: int) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            if fetch(port, "/trivial/")[0] == 200:
                return
        except OSError:
            time.sleep(0.2)
    raise RuntimeError("The server did not start.")


def fetch(port: int, path: str) -> tuple[int, dict[str, str], bytes]:
    """One answer as it comes over the wire: packed, if it is packed."""
    connection = HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", path, headers=BROWSER)
    answer = connection.getresponse()
    found = answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
    connection.close()
    return found


def hammer(port: int, path: str) -> int:
    """How many answers one client gets in a round, one after the other on one connection."""
    lines = [f"GET {path} HTTP/1.1", f"Host: 127.0.0.1:{port}", *(f"{k}: {v}" for k, v in BROWSER.items())]
    asked = ("\r\n".join(lines) + "\r\n\r\n").encode()
    many, ends = 0, time.perf_counter() + SECONDS
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        while time.perf_counter() < ends:
            line.sendall(asked)
            _read_answer(line)
            many += 1
    return many


def _read_answer(line: socket.socket) -> None:
    found = b""
    while (end := found.find(b"\r\n\r\n")) < 0:
        found += _some(line)
    head = found[:end].lower()
    if not head.startswith(b"http/1.1 200"):
        raise RuntimeError(head.decode())
    length = int(head.partition(b"content-length:")[2].split(b"\r\n", 1)[0])
    missing = length - (len(found) - end - 4)
    while missing > 0:
        missing -= len(_some(line))


def _some(line: socket.socket) -> bytes:
    got = line.recv(262_144)
    if not got:
        raise RuntimeError("The server hung up.")
    return got


class Rate(NamedTuple):
    """Answers a second, and the server's own microseconds for one."""

    answers: float
    own: float


def rates(places: list[tuple[Server, str]]) -> list[Rate]:
    """The rate at each place, a server and a path, all clients together; the rounds take turns."""
    found: dict[tuple[Server, str], list[Rate]] = {place: [] for place in places}
    for server, path in places * 4:
        fetch(server.port, path)
    with ProcessPoolExecutor(CLIENTS) as pool:
        for _ in range(ROUNDS):
            for server, path in places:
                begun, spent = time.perf_counter(), server.seconds()
                many = sum(pool.map(hammer, [server.port] * CLIENTS, [path] * CLIENTS))
                taken, spent = time.perf_counter() - begun, server.seconds() - spent
                found[server, path].append(Rate(many / taken, 1e6 * spent / many))
    return [Rate(*(statistics.median(column) for column in zip(*found[one], strict=True))) for one in places]


def print_rates(data: Path, listing: str) -> None:
    """Kept against trivial and against made anew, and trivial on bare Django, served beside it."""
    with served(data) as shop, served(data, BARE="yes") as beside:
        of_the_shop = [(shop, path) for path in ("/trivial/", listing, "/", f"{listing}?made=anew")]
        trivial, kept, front, made, bare = rates([*of_the_shop, (beside, "/trivial/")])
    print("\n                                             a second  own µs   of trivial by rate, by own time")
    for says, rate in (
        ("a trivial view of this shop", trivial),
        ("a kept listing (goal: 0.70)", kept),
        ("the kept front page", front),
        ("a listing made anew", made),
        ("a trivial view on bare Django, no middleware", bare),
    ):
        by_rate, by_own = rate.answers / trivial.answers, trivial.own / rate.own
        print(f"{says:<46} {rate.answers:6.0f} {rate.own:7.0f}   {by_rate:18.2f} {by_own:12.2f}")
    by_rate, by_own = kept.answers / bare.answers, bare.own / kept.own
    print(f"a kept listing, of trivial on bare Django: {by_rate:.2f} by rate, {by_own:.2f} by own time")
    print(f"a kept listing, of one made anew: {kept.answers / made.answers:.0f} times the rate")


def listings(port: int) -> list[str]:
    """The address of every listing."""
    places = re.findall(r"<loc>([^<]+)</loc>", _text(port, "/sitemap.xml"))
    return [
        path for path in (urlsplit(place).path for place in places) if re.match(r"/instruments/\d+-", path)
    ]


def _text(port: int, path: str) -> str:
    connection = HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", path)
    text = connection.getresponse().read().decode()
    connection.close()
    return text


def weigh(port: int, path: str) -> dict[str, int]:
    """The bytes of a first visit: packed page, packed sheets (those for paper apart), scripts as they are."""
    text, sheets, paper, scripts = _text(port, path), 0, 0, 0
    for link in re.findall(r"<link [^>]*rel=\"stylesheet\"[^>]*>", text):
        size = len(fetch(port, re.search(r'href="([^"]+)"', link)[1])[2])  # type: ignore[index]
        sheets, paper = (sheets, paper + size) if 'media="print"' in link else (sheets + size, paper)
    for script in re.findall(r'<script [^>]*src="([^"]+)"', text):
        scripts += len(_text(port, script))
    page = len(fetch(port, path)[2])
    return {
        "page": page,
        "sheets": sheets,
        "paper": paper,
        "scripts": scripts,
        "lead": lead_picture(port, text),
    }


def lead_picture(port: int, text: str) -> int:
    """The bytes of the lead picture that a phone fetches: the first format, the width that its screen asks for."""
    found = re.search(r'<source type="image/avif" srcset="([^"]+)" sizes="[^"]*?(\d+)vw"', text)
    if found is None:
        return 0
    wanted = PHONE_WIDTH * PHONE_DENSITY * int(found[2]) / 100
    offered = [part.split() for part in found[1].split(",")]
    wide = sorted((int(width.rstrip("w")), address) for address, width in offered)
    address = next((address for width, address in wide if width >= wanted), wide[-1][1])
    return len(fetch(port, address)[2])


def print_weights(port: int, paths: list[str]) -> None:
    """The middle and the heaviest listing."""
    weights = sorted((weigh(port, path) for path in paths), key=lambda one: one["page"] + one["sheets"])
    print(f"\nbytes of a first visit, {len(paths)} listings       middle   heaviest")
    rows = {
        "page, packed": lambda one: one["page"],
        "sheets, packed": lambda one: one["sheets"],
        f"both (goal: {FIRST_ROUND_TRIP:,})": lambda one: one["page"] + one["sheets"],
        "sheets for paper, packed": lambda one: one["paper"],
        f"scripts, as they are (goal: {MOST_JAVASCRIPT:,})": lambda one: one["scripts"],
    }
    for says, value in rows.items():
        print(f"{says:<42} {value(weights[len(weights) // 2]):>8,} {value(weights[-1]):>10,}")
    leads = sorted(one["lead"] for one in weights if one["lead"])
    says = f"lead picture, {PHONE_WIDTH} wide at {PHONE_DENSITY}x (goal: {MOST_PICTURE:,})"
    print(f"{says:<42} {leads[len(leads) // 2]:>8,} {leads[-1]:>10,}")


def main() -> None:
    """Load, serve, measure, print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--data", type=Path, help="Where the invented shop lies, or shall lie.")
    data = parser.parse_args().data
    with tempfile.TemporaryDirectory() as folder:
        data = data or Path(folder)
        prepare(data)
        with served(data) as server:
            paths = listings(server.port)
            print_weights(server.port, paths)
        print_rates(data, paths[-1])


if __name__ == "__main__":
    main()
