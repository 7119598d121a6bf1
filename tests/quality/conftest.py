"""What is measured: the small world, whole, seen by its owner and by a stranger."""

from pathlib import Path

import pytest
from django.test import Client

from tests.factories import ShopFactory
from tests.quality.pages import whole_pages
from tests.world import World, build_world


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what lies here, so that the run on the second database can leave it out."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.quality)


@pytest.fixture
def world(db: None) -> World:
    ShopFactory()
    return build_world()


@pytest.fixture
def owner(world: World) -> Client:
    """The owner's browser, logged in."""
    client = Client()
    client.force_login(world.owner, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def pages(world: World, owner: Client) -> dict[str, bytes]:
    """Every page of the site: the desk's as the owner sees them, the street's as a stranger does."""
    return whole_pages(world, owner) | whole_pages(world, Client())
