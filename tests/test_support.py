"""The tests' own helpers must be able to fail: the watched browser and the throwaway PostgreSQL."""

from collections.abc import Callable

import psycopg
import pytest
from playwright.sync_api import BrowserContext, Page

from tests.support.browser import PHONE, Watch

CSP = "<meta http-equiv=\"content-security-policy\" content=\"script-src 'none'; style-src 'none'\">"


@pytest.mark.parametrize(
    ("html", "complaint"),
    [
        ("<script>1</script>", "inline script"),
        ("<style>p { color: red }</style>", "inline style"),
        ('<p style="color: red">x</p>', "inline style"),
    ],
)
def test_what_the_policy_blocks_is_a_fault(
    page: Page, browser_watch: Watch, html: str, complaint: str
) -> None:
    page.set_content(f"<!doctype html>{CSP}<title>x</title>{html}")
    [fault] = browser_watch.faults
    browser_watch.faults.clear()
    assert complaint in fault


def test_an_uncaught_error_is_a_fault(page: Page, browser_watch: Watch) -> None:
    with page.expect_event("pageerror"):
        page.set_content("<script>throw new Error('torn')</script>")
    faults = browser_watch.faults[:]
    browser_watch.faults.clear()
    assert any("torn" in fault for fault in faults)


def test_a_request_to_another_host_is_a_fault(page: Page, browser_watch: Watch) -> None:
    page.route("**/*", lambda route: route.abort())
    page.evaluate("fetch('http://elsewhere.example/pixel').catch(() => null)")
    faults = browser_watch.faults[:]
    browser_watch.faults.clear()
    assert "another host was asked: http://elsewhere.example/pixel" in faults


def test_a_page_without_fault_is_let_through(page: Page, browser_watch: Watch) -> None:
    page.set_content("<!doctype html><title>x</title><p>plain</p>")
    assert browser_watch.faults == []


def test_a_postgres_url_opens_an_empty_database_of_its_own(postgres_url: str) -> None:
    with psycopg.connect(postgres_url) as connection:
        connection.execute("CREATE TABLE mark (x int)")
        tables = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
    assert tables == [("mark",)]


def test_the_next_test_finds_no_trace_of_it(postgres_url: str) -> None:
    with psycopg.connect(postgres_url) as connection:
        tables = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
    assert tables == []


def test_postgres_folds_case_beyond_ascii(postgres_url: str) -> None:
    """Search ignores case; under the plain C locale PostgreSQL would fold a to z only."""
    with psycopg.connect(postgres_url) as connection:
        assert connection.execute("SELECT upper('é')").fetchone() == ("É",)


def test_a_second_person_may_have_a_phone(new_context: Callable[..., BrowserContext]) -> None:
    phone = new_context(viewport=PHONE).new_page()
    assert phone.evaluate("[innerWidth, innerHeight]") == [390, 844]
