"""What every test shares: the environment, a browser, a PostgreSQL server."""

from importlib import import_module

import hypothesis
import pytest
from django.apps import apps

from tests.support import environment

environment.prepare()

from tests.support.browser import (  # noqa: E402 - the environment comes before anything that may read settings
    base_url,
    browser_type_launch_args,
    browser_watch,
    new_context,
)
from tests.support.dovecot import box, dovecot  # noqa: E402 - as above
from tests.support.mailbox import mailbox  # noqa: E402 - as above
from tests.support.postgres import postgres_server, postgres_url  # noqa: E402 - as above
from tests.support.shops import (  # noqa: E402 - as above
    shop_apart,
    shop_on_postgresql,
    shop_on_sqlite,
    tables_on_postgresql,
    tables_on_sqlite,
)

__all__ = [
    "base_url",
    "box",
    "browser_type_launch_args",
    "browser_watch",
    "dovecot",
    "mailbox",
    "new_context",
    "postgres_server",
    "postgres_url",
    "shop_apart",
    "shop_on_postgresql",
    "shop_on_sqlite",
    "tables_on_postgresql",
    "tables_on_sqlite",
]

# The same examples on every run, and no deadline: a busy machine is not a fault of the code.
hypothesis.settings.register_profile("shop", deadline=None, derandomize=True)
hypothesis.settings.load_profile("shop")


@pytest.fixture(autouse=True)
def no_page_is_kept() -> None:
    """What one test saw is not shown to the next, whose database is another."""
    from shop.kept.middleware import MEMORY

    MEMORY.forget()


@pytest.fixture(autouse=True)
def kinds_again(request: pytest.FixtureRequest) -> None:
    """Put back what came with migrations where an earlier test's flush took it."""
    marked = request.node.get_closest_marker("django_db")
    flushes = marked is not None and marked.kwargs.get("transaction", False)
    if flushes or {"transactional_db", "live_server"} & set(request.fixturenames):
        request.getfixturevalue("transactional_db")
        from catalog.models import ClaimWord, Kind, Material, PriceIndex

        if not Kind.objects.exists():
            import_module("catalog.migrations.0003_five_kinds").add_kinds(apps, None)
            import_module("catalog.migrations.0006_roles_and_read_dates").give_roles(apps, None)
        if not PriceIndex.objects.exists():
            import_module("catalog.migrations.0007_a_price_index").add_index(apps, None)
        if not ClaimWord.objects.exists():
            import_module("catalog.migrations.0008_claim_words").add_words(apps, None)
        from inquiries.models import BorderRule, CashLimit

        if not CashLimit.objects.exists():
            import_module("inquiries.migrations.0009_tax_and_cash").add_limits(apps, None)
        if not Material.objects.exists():
            import_module("catalog.migrations.0012_materials").add_materials(apps, None)
        if not BorderRule.objects.exists():
            import_module("inquiries.migrations.0010_rules_of_borders").add_rules(apps, None)


DATABASE = {"db", "transactional_db", "live_server"}
MARKED_BY_FIXTURE = {"browser": "browser", "new_context": "browser", "postgres_server": "postgres"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark tests by the fixtures they use, and put the browser's last: it leaves an event loop running."""
    for item in items:
        for fixture, marker in MARKED_BY_FIXTURE.items():
            if fixture in getattr(item, "fixturenames", []):
                item.add_marker(marker)
        if not item.get_closest_marker("django_db") and not DATABASE & set(getattr(item, "fixturenames", [])):
            item.add_marker("apart")
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)
