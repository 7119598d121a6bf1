"""Desks in processes of their own, which do any deed in any order on one shop, and say what was done.

`python -m tests.support.desks open FOLDER|work FOLDER SEED SECONDS|killed FOLDER SEED KILLS|look FOLDER`. In FOLDER lie
the clock of the shop, six hours in each second of ours, and the marks of all that was confirmed, one a line.
"""

import json
import os
import random
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import django

django.setup()

from django.db import connection  # noqa: E402 - the settings come first
from django.utils import timezone  # noqa: E402

from inquiries.audit.actions import audit  # noqa: E402
from shop.refusal import Refused  # noqa: E402
from tests.factories import NOON  # noqa: E402
from tests.support.shopkeepers import DEEDS, OFTEN, Deeds, Mark, Nothing, open_shop  # noqa: E402

HOURS_A_SECOND = 6
# What nobody does here is no fault: the worker's part, and files behind the photographs.
NOT_HERE = ("Work ", "the books do not say so yet", "its file is not there")
BEGINS, DONE = "begins", "done"
BEFORE = 3  # deeds that a desk does before it comes to the one in which it is killed


class Chance:
    """Chance by a seed."""

    def __init__(self, seed: str) -> None:
        self._chance = random.Random(seed)

    def upto(self, most: int) -> int:
        return self._chance.randrange(most)


def open_it(folder: Path) -> None:
    """The shop, and its clock."""
    open_shop()
    (folder / "clock").write_text(str(time.time()))


def clock(folder: Path) -> Callable[[], datetime]:
    """The one clock of all desks."""
    begun = float((folder / "clock").read_text())
    return lambda: NOON + timedelta(hours=(time.time() - begun) * HOURS_A_SECOND)


def do(name: str, picks: Chance, now: Callable[[], datetime]) -> tuple[str, Mark | None]:
    """Do one deed; what came of it."""
    try:
        return DONE, DEEDS[name](Deeds(picks, at=now()))
    except Refused as refused:
        return refused.code, None
    except Nothing:
        return "nothing", None


def work(folder: Path, seed: str, seconds: str) -> None:
    """Do deeds for so many seconds; print how often each came to what."""
    picks, now, end = Chance(seed), clock(folder), time.monotonic() + float(seconds)
    said = Counter[str]()
    with (folder / f"marks-{seed}").open("a") as book:
        while time.monotonic() < end:
            name = OFTEN[picks.upto(len(OFTEN))]
            how, mark = do(name, picks, now)
            said[f"{name}: {how}"] += 1
            if mark:
                confirm(book, mark)
    print(json.dumps(said))


def confirm(book: Any, mark: Mark) -> None:
    """Write down that a deed was confirmed; it is on the disk when this returns."""
    book.write(json.dumps([mark.model, mark.columns]) + "\n")
    book.flush()
    os.fsync(book.fileno())


def killed(folder: Path, seed: str, kills: str) -> None:
    """Kill a desk in the middle of a deed, so many times, each kind in its turn; print which they were.

    Django is made ready once: each desk is forked from here, and the next one begins where the last one was killed.
    """
    chance, aims = random.Random(seed), list(DEEDS)
    met, tries = Counter[str](), 0
    now = clock(folder)
    while sum(met.values()) < int(kills):
        tries += 1
        aim = aims[tries % len(aims)]
        name = one_killed(folder, f"{seed}-{tries}", aim, chance)
        if name:
            met[name] += 1
        if tries % 20 == 0:
            in_a_child(lambda: look_at(now))
    print(json.dumps({"killed": met, "desks": tries}))


def one_killed(folder: Path, seed: str, aim: str, chance: random.Random) -> str:
    """A desk that is killed a moment after it began the deed aimed at; which deed it was in the middle of, if any."""
    told, says = os.pipe()
    desk = os.fork()
    if desk == 0:
        os.close(told)
        at_desk(folder, seed, aim, says)
    os.close(says)
    with os.fdopen(told, "rb", buffering=0) as line:
        heard = heard_of(line, aim)
        time.sleep(chance.random() ** 2 * 0.12)
        os.kill(desk, signal.SIGKILL)
        os.waitpid(desk, 0)
        heard += line.read() or b""
    last = heard.decode().splitlines()[-1].split()
    assert last[0] != "fault", heard.decode()[-2000:]
    return last[1] if last[0] == BEGINS else ""


def heard_of(line: Any, aim: str) -> bytes:
    """Read what the desk says until it has done some deeds and begins the one aimed at, or for three seconds."""
    heard, end, begun = b"", time.monotonic() + 3, f"{BEGINS} {aim}\n".encode()
    while not (heard.endswith(begun) and heard.count(b" done\n") >= BEFORE) and time.monotonic() < end:
        more = line.read(4096)
        if not more:
            break
        heard += more
    return heard


def at_desk(folder: Path, seed: str, aim: str, says: int) -> None:
    """The desk, in its own process: some deeds, then the one aimed at among any others, until it is killed."""
    picks, now, left = Chance(seed), clock(folder), BEFORE
    try:
        with (folder / "marks-killed").open("a") as book:
            while True:
                name = aim if left < 1 and picks.upto(2) else OFTEN[picks.upto(len(OFTEN))]
                os.write(says, f"{BEGINS} {name}\n".encode())
                how, mark = do(name, picks, now)
                if mark:
                    left -= 1
                    confirm(book, mark)
                os.write(says, f"ends {name} {how}\n".encode())
    except BaseException as fault:
        os.write(says, f"fault {fault!r}\n".encode())
    finally:
        os._exit(1)


def in_a_child(look: Callable[[], list[str]]) -> None:
    """Look from a fresh process, as after a restart, since this one keeps no connection."""
    child = os.fork()
    if child == 0:
        wrong = ["it did not come to its end"]
        with suppress(BaseException):
            wrong = look()
        if wrong:
            print(wrong, file=sys.stderr, flush=True)
        os._exit(1 if wrong else 0)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0, "the audit found something"


def look_at(now: Callable[[], datetime]) -> list[str]:
    """What the audit finds, by the clock of this shop."""
    timezone.now = now
    return [found for found in map(str, audit()) if not any(part in found for part in NOT_HERE)]


def marks(folder: Path) -> Iterator[Mark]:
    """All that was confirmed. The last line of a desk may have been cut off by the kill: that was not confirmed."""
    for book in sorted(folder.glob("marks-*")):
        for line in book.read_text().splitlines():
            with suppress(ValueError):
                yield Mark(*json.loads(line))


def look(folder: Path) -> None:
    """Print what the audit finds, and each confirmed deed that is not there exactly once."""
    confirmed = list(marks(folder))
    wrong = [(mark.model, mark.columns, times) for mark in confirmed if (times := mark.times()) != 1]
    print(json.dumps({"audit": look_at(clock(folder)), "confirmed": len(confirmed), "wrong": wrong}))
    connection.close()


COMMANDS: dict[str, Callable[..., None]] = {"open": open_it, "work": work, "killed": killed, "look": look}

if __name__ == "__main__":
    COMMANDS[sys.argv[1]](Path(sys.argv[2]), *sys.argv[3:])
