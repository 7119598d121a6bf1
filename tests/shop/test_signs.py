"""Signs that are no letters, in words and in what stands on a paper."""

import pytest

from shop.fields import WordsField
from shop.signs import all_readable, readable

KEPT = ["Bob", "Ada\nQuill", "a\tb", "דוד כהן", "Zoë", "👩\u200d🎨", "東京", "é\u0301"]
LEFT_OUT = [
    "\x00",
    "\x01",
    "\x1b",
    "\x7f",
    "\x9f",
    "\u061c",
    *"\u200e\u202a\u202e\u2066\u2068\u2069\ud800\ufffe",
]


def test_letters_of_every_script_are_kept_and_what_is_none_goes() -> None:
    """Table by hand, common practice, no source."""
    for text in KEPT:
        assert readable(text) == text
    for sign in LEFT_OUT:
        assert readable(f"Bo{sign}b") == "Bob", ascii(sign)
    assert readable("one\r\ntwo\rthree") == "one\ntwo\nthree"


def test_they_go_from_everything_that_lies_in_a_content() -> None:
    content = {"a": ["x\x01", ("y\u202e", 3)], "b": {"c": None, "d": "z"}}
    assert all_readable(content) == {"a": ["x", ["y", 3]], "b": {"c": None, "d": "z"}}


def test_words_of_nothing_else_are_no_words() -> None:
    field = WordsField()
    assert field.clean("Bob\x01 \u202e") == "Bob"
    with pytest.raises(Exception, match="required"):
        field.clean("\x01\u202e")
