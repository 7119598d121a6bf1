"""Shops in processes of their own, for what only shows with several at once, or after a kill."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from tests.support.environment import variables
from tests.support.postgres import new_database

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


@pytest.fixture(scope="session")
def tables_on_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder of a shop with its tables made, which every other shop begins with a copy of."""
    shop = Shop(tmp_path_factory.mktemp("tables"))
    shop.migrate()
    return shop.data


@pytest.fixture(scope="session")
def tables_on_postgresql(postgres_server: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The name of a database with its tables made, for the same purpose."""
    with new_database(postgres_server) as url:
        Shop(tmp_path_factory.mktemp("tables"), url).migrate()
        yield urlsplit(url).path.removeprefix("/")


@pytest.fixture
def shop_on_sqlite(tables_on_sqlite: Path, tmp_path: Path) -> Shop:
    """A shop of its own on SQLite, with its tables made."""
    shutil.copytree(tables_on_sqlite, tmp_path, dirs_exist_ok=True)
    return Shop(tmp_path)


@pytest.fixture
def shop_on_postgresql(postgres_server: str, tables_on_postgresql: str, tmp_path: Path) -> Iterator[Shop]:
    """A shop of its own on PostgreSQL, with its tables made."""
    with new_database(postgres_server, like=tables_on_postgresql) as url:
        yield Shop(tmp_path, url)


@pytest.fixture(params=["sqlite", "postgresql"])
def shop_apart(request: pytest.FixtureRequest) -> Shop:
    """A shop of its own on each database in turn, with its tables made."""
    shop: Shop = request.getfixturevalue(f"shop_on_{request.param}")
    return shop
