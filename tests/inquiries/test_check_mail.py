"""`manage.py check_mail` says what is wrong with the settings of mail, against real servers."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.smtp import AuthResult, LoginPassword
from django.core.management import CommandError, call_command

from shop.models import ShopProfile
from tests.factories import ShopFactory
from tests.support.certificates import certificate, context
from tests.support.dovecot import Box
from tests.support.mailbox import Mailbox, MailServer
from tests.support.postgres import free_port


@pytest.fixture(autouse=True)
def nothing_set(db: None, settings: Any) -> None:
    ShopFactory()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST = settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_TIMEOUT = 10
    settings.INBOX_HOST = settings.INBOX_MAILDIR = ""


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """For the name under which the tests call it."""
    return certificate(tmp_path_factory.mktemp("good"), "localhost", "127.0.0.1")


@contextmanager
def serving(settings: Any, box: Mailbox, **how: Any) -> Iterator[None]:
    server = MailServer(box, **how)
    server.start()
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
    try:
        yield
    finally:
        server.stop()


def checked(*arguments: str) -> tuple[int, str]:
    """The exit code, and all that was said."""
    out = StringIO()
    try:
        call_command("check_mail", *arguments, stdout=out)
    except CommandError as error:
        return error.returncode, f"{out.getvalue()}{error}"
    return 0, out.getvalue()


def log_in(server: Any, session: Any, envelope: Any, mechanism: str, data: Any) -> AuthResult:
    right = isinstance(data, LoginPassword) and (data.login, data.password) == (b"desk", b"right")
    return AuthResult(success=right, handled=False)


def test_a_shop_without_a_mail_server_is_told_which_setting_to_set() -> None:
    code, said = checked()
    assert code == 1
    assert "Wrong: No mail server is named. Set SHOP_MAIL_HOST" in said


def test_a_name_that_is_not_found(settings: Any) -> None:
    settings.EMAIL_HOST = "mail.nowhere.invalid"
    code, said = checked()
    assert code == 1
    assert "Wrong: The name mail.nowhere.invalid is not found." in said


def test_a_port_where_nothing_listens(settings: Any) -> None:
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", free_port()
    code, said = checked()
    assert code == 1
    assert f"Wrong: Nothing answers at 127.0.0.1, port {settings.EMAIL_PORT}. Look at SHOP_MAIL_PORT" in said


def test_a_server_that_says_nothing(settings: Any) -> None:
    settings.EMAIL_TIMEOUT = 0.5
    quiet = Mailbox()
    with serving(settings, quiet):
        quiet.greeting_after = 30.0
        code, said = checked()
    assert code == 1
    assert "did not answer in time. Look at SHOP_MAIL_PORT" in said


def test_a_server_without_tls_is_sent_nothing(settings: Any) -> None:
    settings.EMAIL_USE_TLS = True
    with serving(settings, Mailbox()):
        code, said = checked()
    assert code == 1
    assert "offers no TLS, so nothing was sent to it" in said


def test_a_certificate_that_nobody_vouches_for(settings: Any, good: tuple[Path, Path]) -> None:
    settings.EMAIL_USE_TLS = True
    with serving(settings, Mailbox(), tls_context=context(*good)):
        code, said = checked()
    assert code == 1
    assert "The certificate of 127.0.0.1" in said
    assert "is not good: self-signed certificate" in said


def test_a_certificate_for_another_name(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = certificate(tmp_path, "mail.other.example")
    monkeypatch.setenv("SSL_CERT_FILE", str(made[0]))
    settings.EMAIL_USE_TLS = True
    with serving(settings, Mailbox(), tls_context=context(*made)):
        code, said = checked()
    assert code == 1
    assert "certificate is not valid for '127.0.0.1'" in said


@pytest.mark.parametrize("from_the_start", [False, True])
def test_tls_that_is_good_with_a_log_in_that_is_right(
    settings: Any, good: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, from_the_start: bool
) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(good[0]))
    settings.EMAIL_USE_TLS, settings.EMAIL_USE_SSL = not from_the_start, from_the_start
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "desk", "right"
    how = {"ssl_context" if from_the_start else "tls_context": context(*good)}
    with serving(
        settings,
        Mailbox(),
        authenticator=log_in,
        auth_required=not from_the_start,
        auth_require_tls=not from_the_start,
        **how,
    ):
        code, said = checked()
    assert (code, "speaks TLS, takes our log-in" in said) == (0, True), said
    assert "Good: The mail server sends for desk@harrowlane.example." in said


def test_a_server_that_speaks_no_tls_from_the_start(settings: Any) -> None:
    settings.EMAIL_USE_SSL = True
    with serving(settings, Mailbox()):
        code, said = checked()
    assert code == 1
    assert "does not speak TLS as it should" in said


def test_a_log_in_that_is_refused(settings: Any) -> None:
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "desk", "wrong"
    with serving(settings, Mailbox(), authenticator=log_in, auth_require_tls=False):
        code, said = checked()
    assert code == 1
    assert "Wrong: The mail server refuses our log-in. The mail server said: 535" in said
    assert "Look at SHOP_MAIL_USER and SHOP_MAIL_PASSWORD" in said


def test_a_log_in_where_none_is_taken(settings: Any) -> None:
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "desk", "right"
    with serving(settings, Mailbox()):
        code, said = checked()
    assert code == 1
    assert "takes no log-in. Unset SHOP_MAIL_USER" in said


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ("refusing_sender", "does not send for desk@harrowlane.example. The mail server said: 553 no"),
        (
            "refusing_recipient",
            "takes no mail for desk+word@harrowlane.example. The mail server said: 553 no",
        ),
    ],
)
def test_an_address_that_is_refused(mailbox: Mailbox, what: str, says: str) -> None:
    setattr(mailbox, what, "553 no")
    code, said = checked()
    assert code == 1
    assert says in said


def test_a_shop_without_an_address_or_with_half_a_domain(mailbox: Mailbox) -> None:
    for email, says in (("", "The shop has no e-mail address."), ("desk@harrowlane", "no whole domain")):
        ShopProfile.objects.update(email=email)
        code, said = checked()
        assert code == 1
        assert f"Wrong: {says}" in said or says in said


def test_nothing_is_sent_but_for_a_trial_letter_that_is_asked_for(mailbox: Mailbox) -> None:
    code, said = checked()
    assert (code, mailbox.received) == (0, [])
    assert "check_mail --send desk+word@harrowlane.example" in said
    code, said = checked("--send", "ada@post.example")
    assert code == 0
    assert mailbox.recipients == [["ada@post.example"]]
    assert mailbox.received[0]["Subject"] == "A trial letter"
    mailbox.refusing = "554 it reads like spam"
    code, said = checked("--send", "ada@post.example")
    assert code == 1
    assert "did not go. The mail server said: 554 it reads like spam" in said
    code, said = checked("--send", "ada")
    assert code == 1
    assert "ada is no e-mail address" in said


def test_a_maildir_that_is_none_and_one_that_is(mailbox: Mailbox, settings: Any, tmp_path: Path) -> None:
    settings.INBOX_MAILDIR = str(tmp_path)
    code, said = checked()
    assert code == 1
    assert "is no maildir: it has no folder “new”" in said
    for name in ("new", "cur", "tmp"):
        (tmp_path / name).mkdir()
    code, said = checked()
    assert code == 0
    assert f"Good: Mail is read from the maildir {tmp_path}." in said


def test_a_maildir_that_cannot_be_written(
    mailbox: Mailbox, settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.INBOX_MAILDIR = str(tmp_path)
    for name in ("new", "cur", "tmp"):
        (tmp_path / name).mkdir()
    monkeypatch.setattr("os.access", lambda place, how: Path(place).name != "cur")  # root may write anywhere
    code, said = checked()
    assert code == 1
    assert "“cur” in the maildir" in said


def _wrong_port(settings: Any) -> None:
    settings.INBOX_PORT = free_port()


def _wrong_password(settings: Any) -> None:
    settings.INBOX_PASSWORD = "wrong"


def _wrong_folder(settings: Any) -> None:
    settings.INBOX_FOLDER = "Questions"


def _wrong_name(settings: Any) -> None:
    settings.INBOX_HOST = "imap.nowhere.invalid"


@pytest.mark.parametrize(
    ("mistake", "says"),
    [
        (_wrong_port, "Look at SHOP_INBOX_HOST and SHOP_INBOX_PORT"),
        (_wrong_password, "does not accept the user name with this password. Look at SHOP_INBOX_USER"),
        (_wrong_folder, "has no folder Questions. Set SHOP_INBOX_FOLDER to one of: INBOX"),
        (_wrong_name, "Look at the spelling of SHOP_INBOX_HOST"),
    ],
)
def test_a_mailbox_that_cannot_be_read(
    mailbox: Mailbox, box: Box, settings: Any, mistake: Callable[[Any], None], says: str
) -> None:
    code, said = checked()
    assert code == 0, said
    assert "Good: Mail is read from INBOX of" in said
    mistake(settings)
    code, said = checked()
    assert code == 1
    assert says in said
