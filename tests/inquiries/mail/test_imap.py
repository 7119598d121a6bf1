"""A real IMAP server: no message is lost, none is there twice, none is marked as read before it is safe."""

import os
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection

from inquiries.mail import imap
from inquiries.mail.fetching import fetch, look_into_mailbox, watch
from inquiries.mail.keeping import file_path, message_path
from inquiries.mail.models import MailFolder, ReceivedMail
from tests.factories import NOON, ShopFactory
from tests.inquiries.mail.letters import letter, raw
from tests.inquiries.mail.test_reading import CHARSETS
from tests.support.cutting import cutting
from tests.support.dovecot import Box

MEGABYTE = 1024 * 1024


@pytest.fixture(autouse=True)
def shop(db: None, settings: Any, tmp_path: Path) -> None:
    settings.MAIL_DIR = tmp_path / "letters"
    ShopFactory()


def look() -> list[str]:
    return fetch(clock=lambda: NOON)


def test_what_came_is_taken_in_as_it_is_and_marked_as_read(box: Box) -> None:
    sent = raw()
    box.deliver(sent)
    assert look() == []
    mail = ReceivedMail.objects.get()
    assert (mail.from_email, mail.body.strip(), mail.sort) == (
        "ines@post.example",
        "Is it still there?",
        "person",
    )
    kept = message_path(mail.sha256).read_bytes()
    assert kept.replace(b"\r\n", b"\n") == sent
    assert (box.numbers("SEEN"), box.numbers("UNSEEN")) == (1, 0)


def test_the_same_message_delivered_twice_is_one(box: Box) -> None:
    box.deliver(b"Received: from one.example\n" + raw(), b"Received: from two.example\n" + raw())
    assert look() == []
    assert ReceivedMail.objects.count() == 1
    assert box.numbers("SEEN") == 2
    box.deliver(raw())
    look()
    assert ReceivedMail.objects.count() == 1


def test_each_look_takes_only_what_is_new(box: Box, monkeypatch: pytest.MonkeyPatch) -> None:
    box.deliver(raw("One\n"))
    look()
    fetched = []
    fetch_one = imap._fetched
    monkeypatch.setattr(imap, "_fetched", lambda *a: fetched.append(a[1]) or fetch_one(*a))
    box.deliver(raw("Two\n"))
    look()
    look()
    assert len(fetched) == 1
    assert {mail.body.strip() for mail in ReceivedMail.objects.all()} == {"One", "Two"}


def test_what_was_read_before_the_first_look_stays_where_it_is(box: Box) -> None:
    box.deliver(raw("Old\n"), raw("New\n"))
    with box.client() as client:
        client.select("INBOX")
        client.store("1", "+FLAGS", r"(\Seen)")
    look()
    assert [mail.body.strip() for mail in ReceivedMail.objects.all()] == ["New"]
    with box.client() as client:  # read on a telephone, before we have looked
        box.deliver(raw("Later\n"))
        client.select("INBOX")
        client.store("3", "+FLAGS", r"(\Seen)")
    look()
    assert ReceivedMail.objects.filter(body__startswith="Later").exists()


@pytest.mark.django_db(transaction=True)
def test_a_message_is_read_only_once_it_is_committed(box: Box, monkeypatch: pytest.MonkeyPatch) -> None:
    box.deliver(raw())
    MailFolder.objects.create(name=imap.folder_name())

    def no_commit() -> None:
        raise OperationalError("the disk of the database is full")

    with monkeypatch.context() as patch:
        patch.setattr(connection, "_commit", no_commit)
        with pytest.raises(OperationalError):
            look()
    connection.close()
    assert box.numbers("UNSEEN") == 1
    assert ReceivedMail.objects.count() == 0
    assert look() == []
    assert (ReceivedMail.objects.count(), box.numbers("UNSEEN")) == (1, 0)


@pytest.mark.parametrize("after", [0, 300, 1500, 40_000, 200_000, 420_000])
def test_a_line_that_is_cut_loses_nothing_and_doubles_nothing(box: Box, settings: Any, after: int) -> None:
    sent = [raw(f"Number {number}\n" + "x" * 70_000) for number in range(6)]
    box.deliver(*sent)
    straight = settings.INBOX_PORT
    with cutting(straight, after=after) as port:
        settings.INBOX_PORT = port
        troubles = look()
    assert len(troubles) == 1
    assert "cannot be reached, or the line was cut" in troubles[0] or "answered with a fault" in troubles[0]
    assert box.numbers("SEEN") <= ReceivedMail.objects.count()
    settings.INBOX_PORT = straight
    assert look() == []
    assert sorted(mail.body.split("\n")[0] for mail in ReceivedMail.objects.all()) == [
        f"Number {number}" for number in range(6)
    ]
    assert box.numbers("UNSEEN") == 0


def test_a_message_of_thirty_megabytes(box: Box) -> None:
    data = os.urandom(22 * MEGABYTE)
    message = letter("With the pictures.\n")
    message.add_attachment(data, maintype="application", subtype="octet-stream", filename="all of them.bin")
    wire = message.as_bytes()
    assert len(wire) > 29 * MEGABYTE
    box.deliver(wire)
    assert look() == []
    attachment = ReceivedMail.objects.get().attachments.get()
    assert file_path(attachment.sha256).read_bytes() == data
    assert box.numbers("SEEN") == 1


def in_characters(text: str, name: str, codec: str) -> bytes:
    """A mail whose text is written in one character set and says that it is in another, or in the same."""
    headings = f'From: ines@post.example\nSubject: {name}\nContent-Type: text/plain; charset="{name}"\n'
    return f"{headings}Content-Transfer-Encoding: 8bit\n\n".encode() + text.encode(codec) + b"\n"


def test_every_odd_character_set_comes_through_the_server_as_it_is(box: Box) -> None:
    texts = [text for text, _, _ in CHARSETS[1:]]
    sent = [in_characters(*one) for one in CHARSETS[1:]]
    box.deliver(*sent)
    assert look() == []
    taken = list(ReceivedMail.objects.order_by("pk"))
    assert [mail.body.strip() for mail in taken] == texts
    kept = [message_path(mail.sha256).read_bytes().replace(b"\r\n", b"\n") for mail in taken]
    assert kept == sent
    assert (box.numbers("SEEN"), box.numbers("UNSEEN")) == (len(sent), 0)


MALFORMED = [
    b"\n",
    b"no headings at all, only words\n",
    b"From: \xff\xfe <@@@>, ((((\nSubject: =?koi8-r?b?!!!?= =?x?y?z?=\n\nHere.\n",
    b"Content-Type: multipart/mixed; boundary=b\n\n--b\nContent-Type: text/plain\n\nNo end of the parts.\n",
    b"Content-Type: multipart/mixed\n\n--b\n\nNo boundary is named.\n--b--\n",
    b"Content-Type: multipart/alternative; boundary*0*=utf-9''%ff; boundary*1=b\n\n--b\n\nOdd.\n--b--\n",
    b"Content-Type: ;;;=\nContent-Transfer-Encoding: x-nobody-knows\n\nStill text.\n",
    b"Content-Type: application/pdf; name*=utf-16''%00%\nContent-Transfer-Encoding: base64\n\n!!! no base64 !!!\n",
    b"Content-Type: message/rfc822\n\nContent-Type: message/rfc822\n\nContent-Type: message/rfc822\n\nDeep.\n",
    b"Date: Mon, 99 Foo 99999 99:99:99 +9999\nMessage-ID: <<<>\nReferences: <a@b <c@d>>\n\nLate.\n",
    b"Content-Type: text/plain; charset=utf-8\nContent-Transfer-Encoding: quoted-printable\n\n=FF=\n=zz=E2=82\n",
    b"Content-Type: text/html; charset=utf-7\n\n<div><blockquote><a href=javascript:x>y<img src=http://t.example/>\n",
]


def test_malformed_messages_come_through_the_server_and_none_stops_the_next(box: Box) -> None:
    box.deliver(*MALFORMED, raw("The last one is whole.\n"))
    there = box.numbers("ALL")
    assert there == len(MALFORMED) + 1
    assert look() == []
    assert ReceivedMail.objects.count() == there
    assert ReceivedMail.objects.filter(body__startswith="The last one is whole.").exists()
    assert box.numbers("UNSEEN") == 0
    assert look() == []
    assert ReceivedMail.objects.count() == there


def test_one_that_is_too_large_stays_unread_and_the_desk_knows(box: Box, settings: Any) -> None:
    settings.MAX_MAIL_BYTES = MEGABYTE
    box.deliver(
        raw("x" * 70 + "\n" + ("y" * 70 + "\n") * 20_000, Subject="All my pictures"), raw("And this\n")
    )
    assert look() == []
    large = ReceivedMail.objects.get(subject="All my pictures")
    assert (large.sort, large.from_email) == ("unreadable", "ines@post.example")
    assert "It stays in the mailbox, unread" in large.why
    assert large.bytes > MEGABYTE
    assert box.numbers("UNSEEN") == 1
    assert ReceivedMail.objects.filter(body__startswith="And this").exists()


def test_uids_that_count_anew_lose_nothing_and_double_nothing(box: Box, settings: Any) -> None:
    settings.INBOX_FOLDER = "Shop"
    with box.client() as client:
        client.create("Shop")
    box.deliver(raw("One\n"), raw("Two\n"), folder="Shop")
    look()
    before = MailFolder.objects.get().uid_validity
    with box.client() as client:  # the folder is made anew, as after a move to another server
        client.create("Other")
        client.select("Shop")
        client.copy("1:*", "Other")
        client.close()
        client.delete("Shop")
        client.rename("Other", "Shop")
    box.deliver(raw("Three\n"), folder="Shop")
    assert look() == []
    folder = MailFolder.objects.get()
    assert folder.uid_validity != before
    assert folder.last_uid == 3
    assert sorted(mail.body.strip() for mail in ReceivedMail.objects.all()) == ["One", "Three", "Two"]


@pytest.mark.django_db(transaction=True)
def test_the_server_tells_of_new_mail_and_it_is_taken_in_at_once(box: Box) -> None:
    stop, told = threading.Event(), []

    def stay() -> None:
        try:
            watch(stop, clock=lambda: NOON, tell=told.append)
        finally:
            connection.close()

    staying = threading.Thread(target=stay)
    staying.start()
    try:
        wait_for(lambda: MailFolder.objects.filter(looked_at__isnull=False).exists())
        box.deliver(raw())
        wait_for(lambda: ReceivedMail.objects.exists())
        wait_for(lambda: box.numbers("SEEN") == 1)
    finally:
        stop.set()
        staying.join(20)
    assert not staying.is_alive()
    assert told == []


def wait_for(come: Any) -> None:
    end = time.monotonic() + 15
    while not come():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.05)


@pytest.mark.django_db(transaction=True)
def test_the_workers_round_looks_in_a_thread_of_its_own(box: Box) -> None:
    box.deliver(raw())
    looking = look_into_mailbox(NOON)
    assert looking is not None
    looking.join(30)
    assert ReceivedMail.objects.count() == 1


def test_the_round_does_nothing_where_no_mailbox_is_set(settings: Any) -> None:
    settings.INBOX_HOST = settings.INBOX_MAILDIR = ""
    assert look_into_mailbox(NOON) is None


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("INBOX_PASSWORD", "wrong", "does not accept the user name with this password"),
        ("INBOX_FOLDER", "Attic", "has no folder Attic"),
        ("INBOX_PORT", 1, "cannot be reached"),
    ],
)
def test_what_is_wrong_with_the_mailbox_is_said_in_a_sentence(
    box: Box, settings: Any, name: str, value: object, says: str
) -> None:
    setattr(settings, name, value)
    (trouble,) = look()
    assert says in trouble
    assert MailFolder.objects.get().trouble == trouble
    with pytest.raises(CommandError, match=says):
        call_command("fetch_mail")


def test_the_command_says_that_no_mailbox_is_set(settings: Any) -> None:
    settings.INBOX_HOST = settings.INBOX_MAILDIR = ""
    with pytest.raises(CommandError, match="SHOP_INBOX_HOST"):
        call_command("fetch_mail")
    settings.INBOX_MAILDIR = "/some/where"
    with pytest.raises(CommandError, match="Only a mailbox read by IMAP"):
        call_command("fetch_mail", "--watch")
