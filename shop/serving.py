"""Run the site and the background worker together, until one is told to stop."""

import ctypes
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import FrameType

from django.conf import settings

MANAGE = Path(__file__).resolve().parent.parent / "manage.py"
WEB_WORKERS = 2
THREADS_EACH = 2
PAUSE_SECONDS = 1.0
SET_SIGNAL_OF_PARENTS_DEATH = 1  # Linux, prctl(2): PR_SET_PDEATHSIG


def serve(*, address: str, port: int) -> int:
    """Serve `address:port` and work off jobs; a part that dies is started again. The exit code."""
    stop = threading.Event()
    for wanted in (signal.SIGTERM, signal.SIGINT):
        signal.signal(wanted, lambda number, frame: _ask_to_stop(stop, number, frame))
    parts = [_web(address, port), _worker()]
    running = [_start(part) for part in parts]
    while not stop.wait(PAUSE_SECONDS):
        for place, process in enumerate(running):
            if process.poll() is not None and not stop.is_set():
                running[place] = _start(parts[place])
    return _wind_up(running)


def _web(address: str, port: int) -> list[str]:
    return [
        sys.executable,
        "-m",
        "granian",
        "--interface",
        "wsgi",
        "--host",
        address,
        "--port",
        str(port),
        "--workers",
        str(WEB_WORKERS),
        "--blocking-threads",
        str(THREADS_EACH),
        "--no-ws",
        "--log-level",
        "warning",
        "--respawn-failed-workers",
        "shop.wsgi:application",
    ]


def _worker() -> list[str]:
    return [sys.executable, str(MANAGE), "worker"]


def _start(command: list[str]) -> subprocess.Popen[bytes]:
    # The parts read the settings anew, so the mode chosen on the command line is handed on.
    environment = os.environ | {"SHOP_MODE": settings.SHOP_MODE, "SHOP_DATA": str(settings.SHOP_DATA)}
    # Each part leads a group of its own, so that ending it ends its children too.
    return subprocess.Popen(  # noqa: S603
        command,
        cwd=MANAGE.parent,
        env=environment,
        start_new_session=True,
        preexec_fn=_end_with_the_shop if sys.platform == "linux" else None,
    )


def _end_with_the_shop() -> None:
    """Ask Linux to stop this part when its parent dies, so that nobody is left behind holding the port."""
    ctypes.CDLL(None).prctl(SET_SIGNAL_OF_PARENTS_DEATH, signal.SIGTERM)


def _ask_to_stop(stop: threading.Event, number: int, frame: FrameType | None) -> None:
    stop.set()


def _wind_up(running: list[subprocess.Popen[bytes]]) -> int:
    for process in running:
        process.terminate()
    deadline = time.monotonic() + 10
    for process in running:
        try:
            process.wait(timeout=max(deadline - time.monotonic(), 0.1))
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
    return 0
