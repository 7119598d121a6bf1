"""The owner and a helper, each at the desk."""

import pytest
from django.test import Client

from shop.models import User
from tests.factories import OwnerFactory, StaffFactory


@pytest.fixture
def owner(db: None) -> User:
    return OwnerFactory(username="ada")


@pytest.fixture
def helper(db: None) -> User:
    return StaffFactory(username="nell")


@pytest.fixture
def owners_desk(owner: User) -> Client:
    client = Client()
    client.force_login(owner)
    return client


@pytest.fixture
def helpers_desk(helper: User) -> Client:
    client = Client()
    client.force_login(helper)
    return client
