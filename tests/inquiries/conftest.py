"""The desk in the tests of this house: a clock that stands, the owner's browser, the helper's browser."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
from django.test import Client

from shop.models import ShopProfile, User
from tests.factories import NOON, HelperFactory, OwnerFactory, ShopFactory

BACKEND = "django.contrib.auth.backends.ModelBackend"


@dataclass
class Clock:
    """The time it is for every view and deed, until it is set on."""

    at: datetime

    def on(self, **span: float) -> datetime:
        """Let time pass; the new instant."""
        self.at += timedelta(**span)
        return self.at


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    stands = Clock(NOON)
    monkeypatch.setattr("django.utils.timezone.now", lambda: stands.at)
    return stands


@pytest.fixture
def profile(db: None) -> ShopProfile:
    return ShopFactory(carriers="Mule Train\nRiver Post")


@pytest.fixture
def owner(profile: ShopProfile, clock: Clock) -> User:
    return OwnerFactory()


@pytest.fixture
def helper(profile: ShopProfile, clock: Clock) -> User:
    return HelperFactory()


@pytest.fixture
def owners(owner: User) -> Client:
    """The owner's browser."""
    browser = Client()
    browser.force_login(owner, backend=BACKEND)
    return browser


@pytest.fixture
def helpers(helper: User) -> Client:
    """A helper's browser."""
    browser = Client()
    browser.force_login(helper, backend=BACKEND)
    return browser
