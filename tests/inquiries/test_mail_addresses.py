"""The signed address: ours names its thread however a server writes it, and nobody else can make one."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.mail.addresses import in_ascii, reply_address, thread_of

SHOP = "desk@harrowlane.example"


@given(st.integers(1, 2**40))
def test_an_address_of_ours_names_its_thread_in_any_case_of_letters(number: int) -> None:
    address = reply_address(number, SHOP)
    assert address.startswith("desk+")
    assert address.endswith("@harrowlane.example")
    for written in (address, address.upper(), f"<{address}>", f" {address} "):
        assert thread_of(written) == number


@given(st.integers(1, 2**40), st.data())
def test_one_character_changed_names_nothing_or_nothing_else(number: int, data: st.DataObject) -> None:
    address = reply_address(number, SHOP)
    word = address.partition("+")[2].partition("@")[0]
    place = data.draw(st.integers(0, len(word) - 1))
    other = data.draw(
        st.sampled_from("abcdefghijklmnopqrstuvwxyz0123456789=é+").filter(lambda c: c != word[place])
    )
    assert thread_of(f"desk+{word[:place]}{other}{word[place + 1 :]}@harrowlane.example") is None


@given(st.text())
def test_what_we_did_not_sign_names_nothing(text: str) -> None:
    assert thread_of(text) is None
    assert thread_of(f"desk+{text}@harrowlane.example") is None


def test_an_old_key_is_known_while_it_is_named(settings: Any) -> None:
    address, old = reply_address(7, SHOP), settings.SECRET_KEY
    settings.SECRET_KEY = "another key, as random as it is long, for the months to come"
    assert thread_of(address) is None
    settings.SECRET_KEY_FALLBACKS = [old]
    assert thread_of(address) == 7


def test_the_plain_address_stands_where_the_server_knows_no_plus(settings: Any) -> None:
    signed = reply_address(7, SHOP)
    settings.MAIL_PLUS = False
    assert reply_address(7, SHOP) == SHOP
    assert thread_of(signed) == 7  # what was signed before still comes home


def test_a_long_address_is_left_as_it_is() -> None:
    long = f"{'a' * 50}@harrowlane.example"  # RFC 5321, section 4.5.3.1.1: no more than 64 before the @
    assert reply_address(7, long) == long


@pytest.mark.parametrize(
    ("written", "ascii_form"),
    [
        ("ines@post.example", "ines@post.example"),
        ("ines@bücher.example", "ines@xn--bcher-kva.example"),  # RFC 3492 with RFC 5891
        ("ines@faß.example", "ines@xn--fa-hia.example"),  # RFC 5894, section 7.2: not “fass”
        ("ines@BÜCHER.example", "ines@xn--bcher-kva.example"),
    ],
)
def test_a_domain_of_another_script_is_written_in_ascii(written: str, ascii_form: str) -> None:
    assert in_ascii(written) == ascii_form


def test_letters_beyond_ascii_before_the_at_are_not_taken() -> None:
    with pytest.raises(ValueError, match="before the @"):
        in_ascii("inés@post.example")
