"""The environment of a test run, made before Django reads its settings.

Called at the top of tests/conftest.py. Every run has a data folder of its own, so runs side by side
do not meet and nothing real is ever touched. DATABASE_URL alone is taken over from outside.
"""

import atexit
import os
import shutil
import sys
import tempfile
from pathlib import Path

import django

SETTINGS = "shop.settings"
MEMORY, ROOM = "/dev/shm", 2_000_000_000  # noqa: S108 - mkdtemp is used inside


def prepare() -> None:
    """Set the variables of a test run and start Django; raises RuntimeError if the settings were read too early."""
    if SETTINGS in sys.modules:
        raise RuntimeError(f"{SETTINGS} was read before the test environment; unset DJANGO_SETTINGS_MODULE.")
    for name in [name for name in os.environ if name.startswith("SHOP_")]:
        del os.environ[name]  # What the developer's own shell sets must not change a result.
    os.environ.update(variables(_data_folder()))
    django.setup()


def variables(data: Path) -> dict[str, str]:
    """What a program of this shop needs in its environment to run in test mode with its data in `data`."""
    (data / "static").mkdir(parents=True, exist_ok=True)  # WhiteNoise warns when its root is missing.
    return {"DJANGO_SETTINGS_MODULE": SETTINGS, "SHOP_MODE": "test", "SHOP_DATA": str(data)}


def _data_folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="shop-test-", dir=_roomy_memory()))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


def _roomy_memory() -> str | None:
    """Where files live in memory, if there is room: nothing of a run outlives it, so nothing need wait for the disk."""
    free = shutil.disk_usage(MEMORY).free if os.access(MEMORY, os.W_OK) else 0
    return MEMORY if free > ROOM else None
