"""A maildir on this machine: what is safe goes from `new` to `cur`, and nothing else does."""

import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from inquiries.mail import maildir
from inquiries.mail.fetching import fetch
from inquiries.mail.models import MailFolder, ReceivedMail
from tests.factories import NOON, ShopFactory
from tests.inquiries.mail.letters import raw


@pytest.fixture
def home(db: None, settings: Any, tmp_path: Path) -> Path:
    folder = tmp_path / "Maildir"
    for name in ("new", "cur", "tmp"):
        (folder / name).mkdir(parents=True)
    settings.MAIL_DIR, settings.INBOX_MAILDIR, settings.INBOX_HOST = tmp_path / "letters", str(folder), ""
    ShopFactory()
    return folder


def look(**later: float) -> list[str]:
    return fetch(clock=lambda: NOON + timedelta(**later))


def names(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir())


def test_what_is_new_is_taken_in_and_moved(home: Path) -> None:
    (home / "new" / "1.a.host").write_bytes(raw("One\n"))
    (home / "new" / "2.b.host").write_bytes(raw("Two\n"))
    (home / "tmp" / "3.c.host").write_bytes(raw("Half a mai"))
    assert look() == []
    assert sorted(mail.body.strip() for mail in ReceivedMail.objects.all()) == ["One", "Two"]
    assert (names(home / "new"), names(home / "cur")) == ([], ["1.a.host:2,S", "2.b.host:2,S"])
    assert look() == []
    assert ReceivedMail.objects.count() == 2


def test_what_is_not_safe_stays_new(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (home / "new" / "1.a.host").write_bytes(raw())

    def full(*given: Any, **more: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(maildir, "take_in", full)
        (trouble,) = look()
    assert "No space left" in trouble
    assert MailFolder.objects.get().trouble == trouble
    assert names(home / "new") == ["1.a.host"]
    assert look() == []
    assert MailFolder.objects.get().trouble == ""
    assert ReceivedMail.objects.count() == 1


def test_what_a_mail_program_moved_before_us_is_taken_in(home: Path) -> None:
    old = home / "cur" / "0.old.host:2,S"
    old.write_bytes(raw("Read long ago\n"))
    look()
    assert ReceivedMail.objects.count() == 0
    moved = home / "cur" / "1.a.host:2,S"
    moved.write_bytes(raw("Read on a telephone\n"))
    for file, minutes in ((moved, 5), (old, -600)):
        at = (NOON + timedelta(minutes=minutes)).timestamp()
        os.utime(file, (at, at))
    look(minutes=10)
    assert [mail.body.strip() for mail in ReceivedMail.objects.all()] == ["Read on a telephone"]


def test_what_is_too_large_stays_new_and_is_told_of(home: Path, settings: Any) -> None:
    settings.MAX_MAIL_BYTES = 1000
    (home / "new" / "1.a.host").write_bytes(raw("x" * 5000))
    look()
    look()
    assert ReceivedMail.objects.get().sort == "unreadable"
    assert names(home / "new") == ["1.a.host"]


def test_a_maildir_that_is_not_there_is_said_to_be_missing(home: Path, settings: Any) -> None:
    settings.INBOX_MAILDIR = str(home / "nowhere")
    (trouble,) = look()
    assert "There is no maildir at" in trouble
