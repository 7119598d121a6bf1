"""Shops in processes of their own, for what only shows with several at once, or after a kill."""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.support.environment import variables

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass
class Shop:
    """A shop with its own data folder and database, reached only through programs started on it."""

    data: Path
    url: str = ""
    lease_seconds: int = 30

    @property
    def environment(self) -> dict[str, str]:
        """The environment of a program of this shop."""
        own = variables(self.data) | ({"DATABASE_URL": self.url} if self.url else {})
        own["SHOP_JOB_LEASE_SECONDS"] = str(self.lease_seconds)
        kept = {name: value for name, value in os.environ.items() if name not in {"DATABASE_URL"}}
        return kept | own

    def start(
        self, *command: str, environment: dict[str, str] | None = None, **options: Any
    ) -> subprocess.Popen[str]:
        """Start `python COMMAND…` on this shop, with `environment` on top of its own."""
        return subprocess.Popen(
            [sys.executable, *command],
            cwd=ROOT,
            env=self.environment | (environment or {}),
            text=True,
            **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | options,
        )

    def run(self, *command: str, timeout: float = 120) -> str:
        """Run `python COMMAND…` to its end; what it printed. Fails the test with its words when it fails."""
        process = self.start(*command)
        out, errors = process.communicate(timeout=timeout)
        assert process.returncode == 0, f"{command}: {out}\n{errors}"
        return out

    def migrate(self) -> None:
        """Make the database."""
        self.run("manage.py", "migrate", "--verbosity", "0")


@pytest.fixture(params=["sqlite", "postgresql"])
def shop_apart(request: pytest.FixtureRequest, tmp_path: Path) -> Shop:
    """A shop of its own on each database in turn, with its tables made."""
    url = request.getfixturevalue("postgres_url") if request.param == "postgresql" else ""
    shop = Shop(tmp_path, url)
    shop.migrate()
    return shop
