"""The invented shop, loaded once for all tests of this folder that ask for it."""

import hashlib
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from catalog.pictures.prints import Prints
from demo_fixtures.load import load_shop
from demo_fixtures.plates import Drawn, Wanted
from shop.keeping import Kept
from shop.models import ShopProfile

# A Wednesday at ten in New York: the year before it holds both changes of the clocks.
NOW = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)


def quickly(wanted: Iterable[Wanted]) -> Iterator[Drawn]:
    """In place of the drawing, which takes its time and has tests of its own."""
    for one in wanted:
        digest = hashlib.sha256(one.token.encode()).hexdigest()
        yield Drawn(one.token, Kept(digest, "jpg", 1000), Prints(1600, 1200, [400, 800, 1600]))


@pytest.fixture(scope="package")
def shop(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[ShopProfile]:
    """The shop as it is loaded, and taken back after the last test of the folder."""
    with django_db_blocker.unblock(), transaction.atomic(), pytest.MonkeyPatch.context() as instead:
        instead.setattr("django.utils.timezone.now", lambda: NOW)
        instead.setattr("demo_fixtures.photographs.draw_all", quickly)
        load_shop(say=lambda words: None)
        yield ShopProfile.objects.get()
        transaction.set_rollback(True)
