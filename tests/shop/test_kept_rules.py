"""How a browser's wishes are read. Sources: RFC 9110, sections 8.8.3.2, 12.5.3 and 13.1.2."""

import pytest

from shop.kept.memory import Memory, Page
from shop.kept.rules import best_of, has_it, is_plain_address

FORMS = ("br", "gzip", "identity")


@pytest.mark.parametrize(
    ("header", "form"),
    [
        # The examples of RFC 9110, section 12.5.3.
        ("compress, gzip", "gzip"),
        ("", "identity"),
        ("*", "br"),
        ("compress;q=0.5, gzip;q=1.0", "gzip"),
        ("gzip;q=1.0, identity; q=0.5, *;q=0", "gzip"),
        # Common practice, no source.
        ("gzip, deflate, br, zstd", "br"),
        ("GZIP", "gzip"),
        ("br;q=0.2, gzip;q=0.8", "gzip"),
        ("br;q=0, gzip;q=0", "identity"),
        ("identity", "identity"),
        ("br;q=nonsense, gzip", "gzip"),
        ("*;q=0", "identity"),
    ],
)
def test_the_form_that_a_browser_likes_best(header: str, form: str) -> None:
    assert best_of(header, FORMS) == form


def test_what_has_one_form_is_sent_in_it() -> None:
    assert best_of("gzip, br", ("identity",)) == "identity"


@pytest.mark.parametrize(
    ("header", "has"),
    [
        ('"abc"', True),
        ('W/"abc"', True),  # RFC 9110, section 13.1.2: the weak comparison
        ('"xyz", W/"abc"', True),
        ('"x,y" , "abc"', True),
        ("*", True),
        ('"ABC"', False),
        ('"abc-br"', False),
        ("abc", False),
        ("", False),
    ],
)
def test_whether_a_browser_has_the_page(header: str, has: bool) -> None:
    assert has_it(header, '"abc"') == has


@pytest.mark.parametrize(
    ("query", "plain"),
    [
        ("", True),
        ("kind=banjo", True),
        ("kind=banjo&page=2", True),
        ("kind=banjo&kind=guitar", False),
        ("kind=", False),
        ("kind", False),
        ("utm_source=letter", False),
        ("kind=banjo&x=1", False),
        ("kind=" + "b" * 60, False),
    ],
)
def test_only_addresses_that_a_page_knows_are_kept(query: str, plain: bool) -> None:
    assert is_plain_address(query, {"kind", "page"}, most=50) == plain


def page(size: int) -> Page:
    return Page({}, "x", b"x" * ((size - 2000) * 2 // 3))


def test_a_memory_holds_no_more_than_it_may_and_forgets_what_was_asked_for_least_lately() -> None:
    memory = Memory(100_000)
    memory.keep("one", page(10_000))
    assert memory.get("one") is not None  # asked for again: in the house
    for number in range(1000):
        memory.keep(number, page(10_000))
        assert memory.bytes <= 100_000
    assert memory.get("one") is not None
    assert memory.get(999) is not None
    assert memory.get(0) is None


def test_the_house_turns_out_the_least_lately_asked_for() -> None:
    memory = Memory(100_000)
    for number in range(9):
        memory.keep(number, page(10_000))
        memory.get(number)
        memory.get(0)
    assert memory.get(0) is not None
    assert memory.get(1) is None
    assert memory.bytes <= 100_000


def test_a_page_too_large_is_not_kept_and_the_one_before_it_goes() -> None:
    memory = Memory(100_000)
    memory.keep("one", page(10_000))
    memory.keep("one", page(50_000))
    assert memory.get("one") is None
    assert memory.bytes == 0
    memory.keep("two", page(10_000))
    memory.forget()
    assert (len(memory), memory.bytes) == (0, 0)
