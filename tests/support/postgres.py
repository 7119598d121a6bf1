"""A throwaway PostgreSQL server.

As a command it lends the server to another command, through DATABASE_URL:

    python -m tests.support.postgres -- python -m pytest

As the fixture `postgres_url` it gives one test an empty database, also in the SQLite run.
"""

import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import psycopg
import pytest
from psycopg import sql

from tests.support.programs import missing

USER = "postgres"
START_SECONDS = 60
SERVER_OPTIONS = {
    # Nothing here outlives the run, so nothing waits for the disk.
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    # Two processes with fifty rivals each, and room for the test beside them.
    "max_connections": "200",
    "listen_addresses": "127.0.0.1",
}


class NoServerPrograms(Exception):
    """PostgreSQL's server programs (initdb, postgres) were not found."""


def programs() -> Path:
    """The folder that holds initdb and postgres; raises NoServerPrograms."""
    for folder in _program_folders():
        if (folder / "initdb").exists() and (folder / "postgres").exists():
            return folder
    raise NoServerPrograms("PostgreSQL's server programs (initdb, postgres)")


def _program_folders() -> Iterator[Path]:
    if shutil.which("pg_config"):
        told = subprocess.run(["pg_config", "--bindir"], capture_output=True, text=True, check=True)
        yield Path(told.stdout.strip())
    installed = Path("/usr/lib/postgresql").glob("*/bin")  # where Debian puts every version
    yield from sorted(installed, key=lambda folder: folder.parent.name.zfill(4), reverse=True)
    if initdb := shutil.which("initdb"):
        yield Path(initdb).resolve().parent


@contextmanager
def throwaway_server() -> Iterator[str]:
    """Run a new, empty server for the length of the block; gives the URL of its database `postgres`."""
    bindir = programs()
    folder = Path(tempfile.mkdtemp(prefix="shop-postgres-", dir=open_folder()))
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, _account(), None)
        _make_cluster(bindir, folder)
        with _running(bindir, folder) as url:
            yield url
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _account() -> str | None:
    """The account that runs the server: its programs refuse root. None means this process's own."""
    return USER if os.geteuid() == 0 else None


def open_folder() -> Path:
    """A folder for temporary things whose every parent another account may pass through."""
    candidates = [Path(tempfile.gettempdir()), Path("/tmp"), Path("/var/tmp")]  # noqa: S108 - mkdtemp is used inside
    return next(folder for folder in candidates if _passable(folder))


def _passable(folder: Path) -> bool:
    return folder.is_dir() and all(part.stat().st_mode & 0o001 for part in [folder, *folder.parents])


def _make_cluster(bindir: Path, folder: Path) -> None:
    command = [bindir / "initdb", "--no-sync", "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8"]
    made = subprocess.run(
        [*command, f"--username={USER}", "--pgdata", folder / "data"],
        cwd=folder,
        user=_account(),
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode:
        raise RuntimeError(f"initdb failed:\n{made.stdout}{made.stderr}")


@contextmanager
def _running(bindir: Path, folder: Path) -> Iterator[str]:
    port = free_port()
    command: list[str | Path] = [bindir / "postgres", "-D", folder / "data", "-k", folder, "-p", str(port)]
    for name, value in SERVER_OPTIONS.items():
        command += ["-c", f"{name}={value}"]
    with (folder / "log").open("w") as log:
        # Its own session, so that Ctrl-C reaches the tests first and the server still answers their clean-up.
        server = subprocess.Popen(
            command, cwd=folder, user=_account(), stdout=log, stderr=log, start_new_session=True
        )
    try:
        url = f"postgresql://{USER}@127.0.0.1:{port}/postgres"
        _wait_until_ready(url, server, folder / "log")
        yield url
    finally:
        _stop(server)


def free_port() -> int:
    """A port on this machine that nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


def _wait_until_ready(url: str, server: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + START_SECONDS
    while server.poll() is None and time.monotonic() < end:
        try:
            psycopg.connect(url, connect_timeout=2).close()
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError(f"PostgreSQL did not start:\n{log.read_text()}")


def _stop(server: subprocess.Popen[bytes]) -> None:
    server.send_signal(signal.SIGINT)  # "fast": open connections are ended
    try:
        server.wait(20)
    except subprocess.TimeoutExpired:
        # "immediate"; unlike SIGKILL it ends the server's own children too.
        server.send_signal(signal.SIGQUIT)
        server.wait(20)


@contextmanager
def new_database(server_url: str, like: str = "template1") -> Iterator[str]:
    """A database on that server for the length of the block, empty or a copy of one that is there; gives its URL."""
    name = f"shop_{uuid4().hex[:12]}"
    made = sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(name), sql.Identifier(like))
    with psycopg.connect(server_url, autocommit=True) as connection:
        connection.execute(made)
    try:
        yield urlunsplit(urlsplit(server_url)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(server_url, autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a PostgreSQL server: the one the suite runs on, or else a throwaway one."""
    if given := os.environ.get("DATABASE_URL"):
        yield given
        return
    try:
        programs()
    except NoServerPrograms as problem:
        missing(str(problem))
    with throwaway_server() as url:
        yield url


@pytest.fixture
def postgres_url(postgres_server: str) -> Iterator[str]:
    """DATABASE_URL of an empty PostgreSQL database, to hand to programs that a test starts."""
    with new_database(postgres_server) as url:
        yield url


def main(arguments: list[str]) -> int:
    """Run the command after `--` with DATABASE_URL set; gives its exit code."""
    command = arguments[arguments.index("--") + 1 :] if "--" in arguments else []
    if not command:
        print("Use: python -m tests.support.postgres -- COMMAND...", file=sys.stderr)
        return 2
    if os.environ.get("DATABASE_URL"):
        return subprocess.run(command, check=False).returncode
    # Without this, being told to end would leave the server running.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
    try:
        with throwaway_server() as url:
            return subprocess.run(command, env={**os.environ, "DATABASE_URL": url}, check=False).returncode
    except NoServerPrograms as problem:
        print(f"{problem} were not found. On Debian: apt-get install postgresql", file=sys.stderr)
        return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
