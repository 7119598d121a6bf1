"""A real IMAP server on this machine: Dovecot, as Debian has it, with a new mailbox for each test."""

import grp
import imaplib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from tests.support.postgres import free_port, open_folder
from tests.support.programs import missing

PASSWORD = "a-letter-in-the-box"  # without spaces: the settings have it among other words
ACCOUNT = "nobody"  # as root the server runs as this account
START_SECONDS = 20
SETTINGS = """
protocols = imap
listen = 127.0.0.1
base_dir = {folder}/run
state_dir = {folder}/state
log_path = {folder}/log
ssl = no
disable_plaintext_auth = no
auth_failure_delay = 0
default_internal_user = {account}
default_internal_group = {group}
default_login_user = {account}
first_valid_uid = 1
first_valid_gid = 1
mail_location = maildir:{folder}/mail/%u
mail_fsync = never
passdb {{
  driver = static
  args = password={password}
}}
userdb {{
  driver = static
  args = uid={account} gid={group} home={folder}/mail/%u
}}
service imap-login {{
  chroot =
  inet_listener imap {{
    port = {port}
  }}
  inet_listener imaps {{
    port = 0
  }}
}}
service anvil {{
  chroot =
}}
service stats {{
  chroot =
}}
"""


@dataclass(frozen=True)
class Server:
    """Where it listens, and where its mailboxes lie."""

    port: int
    folder: Path


@dataclass
class Box:
    """One mailbox on it, as a mail server that delivers and a second mail program would use it."""

    server: Server
    user: str

    @contextmanager
    def client(self) -> Iterator[imaplib.IMAP4]:
        """A second program, logged in."""
        with imaplib.IMAP4("127.0.0.1", self.server.port, timeout=30) as client:
            client.login(self.user, PASSWORD)
            yield client

    def deliver(self, *messages: bytes, folder: str = "INBOX") -> None:
        """Put messages in, unread."""
        with self.client() as client:
            for message in messages:
                wire = message.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
                assert client.append(folder, "", "", wire)[0] == "OK"

    def numbers(self, what: str, folder: str = "INBOX") -> int:
        """How many messages are SEEN, UNSEEN, ALL …"""
        with self.client() as client:
            client.select(folder, readonly=True)
            return len(client.search(None, what)[1][0].split())


def program() -> str | None:
    """Where the server program is."""
    return shutil.which("dovecot", path=f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/local/sbin")


@contextmanager
def throwaway_server() -> Iterator[Server]:
    """Run a server with no mail for the length of the block."""
    found = program()
    assert found is not None
    folder, port = Path(tempfile.mkdtemp(prefix="shop-dovecot-", dir=open_folder())), free_port()
    try:
        _write_settings(folder, port)
        with (folder / "output").open("w") as output:
            process = subprocess.Popen(
                [found, "-F", "-c", folder / "dovecot.conf"],
                cwd=folder,
                **_as_account(),
                stdout=output,
                stderr=output,
                start_new_session=True,
            )
        try:
            _wait_until_ready(port, process, folder)
            yield Server(port, folder)
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(20)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _write_settings(folder: Path, port: int) -> None:
    account = pwd.getpwnam(ACCOUNT) if os.geteuid() == 0 else pwd.getpwuid(os.geteuid())
    text = SETTINGS.format(
        folder=folder, port=port, account=account.pw_name, group=_group(account.pw_gid), password=PASSWORD
    )
    (folder / "dovecot.conf").write_text(text)
    for name in ("run", "state", "mail"):
        (folder / name).mkdir()
    if os.geteuid() == 0:
        for place in (folder, *folder.iterdir()):
            shutil.chown(place, account.pw_uid, account.pw_gid)


def _as_account() -> dict[str, Any]:
    """As whom it runs: nothing to say where this process is not root."""
    if os.geteuid() != 0:
        return {}
    return {"user": ACCOUNT, "group": pwd.getpwnam(ACCOUNT).pw_gid, "extra_groups": []}


def _group(number: int) -> str:
    return grp.getgrgid(number).gr_name


def _wait_until_ready(port: int, process: subprocess.Popen[bytes], folder: Path) -> None:
    end = time.monotonic() + START_SECONDS
    while process.poll() is None and time.monotonic() < end:
        try:
            with imaplib.IMAP4("127.0.0.1", port, timeout=5) as client:
                client.noop()
        except (OSError, imaplib.IMAP4.error):
            time.sleep(0.05)
        else:
            return
    said = "\n".join(file.read_text() for file in (folder / "output", folder / "log") if file.exists())
    raise RuntimeError(f"Dovecot did not start:\n{said}")


@pytest.fixture(scope="session")
def dovecot() -> Iterator[Server]:
    """The server, shared by all tests of the run."""
    if program() is None:
        missing("Dovecot (the Debian package dovecot-imapd)")
    with throwaway_server() as server:
        yield server


@pytest.fixture
def box(dovecot: Server, settings: Any) -> Box:
    """A new mailbox that the site is set to read."""
    user = f"desk{uuid4().hex[:8]}"
    settings.INBOX_HOST, settings.INBOX_PORT, settings.INBOX_TLS = "127.0.0.1", dovecot.port, False
    settings.INBOX_USER, settings.INBOX_PASSWORD, settings.INBOX_FOLDER = user, PASSWORD, "INBOX"
    settings.INBOX_MAILDIR = ""
    return Box(dovecot, user)
