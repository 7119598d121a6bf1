"""The commands refuse with sentences."""

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from shop.models import User
from shop.readiness import faults
from tests.support.shops import Shop


def test_serve_refuses_with_a_sentence_for_each_missing_setting(settings: Any) -> None:
    settings.SECRET_KEY, settings.ALLOWED_HOSTS, settings.EMAIL_HOST = "not-set", [], ""
    with pytest.raises(CommandError) as refusal:
        call_command("serve")
    for name in ("SHOP_SECRET_KEY is missing", "SHOP_HOSTS is missing", "SHOP_MAIL_HOST is missing"):
        assert name in str(refusal.value)


def test_a_shop_with_all_settings_may_open(settings: Any) -> None:
    settings.SECRET_KEY, settings.ALLOWED_HOSTS, settings.EMAIL_HOST = (
        "k" * 50,
        ["shop.example"],
        "mail.example",
    )
    assert faults() == []


def test_debug_is_off_when_nothing_is_set(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    said = shop.run(
        "-c", "import django; django.setup(); from django.conf import settings as s; print(s.DEBUG)"
    )
    assert said.strip() == "False"


def test_a_setting_that_makes_no_sense_stops_the_start(tmp_path: Path) -> None:
    process = Shop(tmp_path).start("manage.py", "check", environment={"SHOP_MAIL_PORT": "many"})
    _, errors = process.communicate(timeout=60)
    assert process.returncode != 0
    assert "SHOP_MAIL_PORT must be a whole number, not “many”." in errors


@pytest.mark.django_db
def test_an_owner_gets_a_log_in_from_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", StringIO("a long walk by the river\n"))
    call_command("owner", "ada", stdout=StringIO())
    assert User.objects.get(username="ada").is_owner
    assert User.objects.get(username="ada").check_password("a long walk by the river")


@pytest.mark.django_db
def test_a_weak_password_is_refused_and_nobody_is_added(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", StringIO("short\n"))
    with pytest.raises(CommandError):
        call_command("owner", "ada", stdout=StringIO())
    assert not User.objects.exists()
