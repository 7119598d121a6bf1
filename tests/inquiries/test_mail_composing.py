"""A mail as text: what goes in comes out at the other end, and nothing else gets in."""

from datetime import UTC, datetime
from email import message_from_string, policy
from email.header import decode_header, make_header
from email.message import EmailMessage
from email.utils import parseaddr, parsedate_to_datetime
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.mail.composing import Letter, composed, envelope, flowed, one_line, readdressed, unflowed

AT = datetime(2026, 3, 4, 17, 5, tzinfo=UTC)
FIRST = Letter(
    message_id="<one@harrowlane.example>",
    at=AT,
    from_name="Harrow Lane Strings",
    from_email="desk@harrowlane.example",
    to="ines@post.example",
    reply_to="desk+7abcdefghijklmnop@harrowlane.example",
    subject="Corvane & Sons No. 3 (no. 1047)",
    text="It is still here.\n",
)

words = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\n\0"), max_size=300)
paragraphs = st.lists(words, max_size=6).map("\n".join)


def letter(**changed: Any) -> Letter:
    return Letter(**{**FIRST.__dict__, **changed})


def read(wire: str) -> EmailMessage:
    return cast(EmailMessage, message_from_string(wire, policy=policy.default))  # type: ignore[arg-type]


def as_read(coded: str) -> str:
    """A heading as RFC 2047 is read by the older reader of the standard library."""
    return str(make_header(decode_header(coded)))


def test_a_mail_has_the_headings_that_the_standard_asks_for() -> None:
    mail = read(composed(FIRST))
    assert mail["Message-ID"] == "<one@harrowlane.example>"
    assert parsedate_to_datetime(mail["Date"]) == AT
    assert mail["From"] == "Harrow Lane Strings <desk@harrowlane.example>"
    assert mail["Reply-To"] == "Harrow Lane Strings <desk+7abcdefghijklmnop@harrowlane.example>"
    assert mail["To"] == "ines@post.example"
    assert mail["Auto-Submitted"] is None
    assert (mail.get_content_type(), mail.get_param("format")) == ("text/plain", "flowed")
    assert mail["MIME-Version"] == "1.0"


def test_the_plain_address_is_said_once() -> None:
    assert read(composed(letter(reply_to=FIRST.from_email)))["Reply-To"] is None


@given(words, words, paragraphs)
def test_any_name_subject_and_text_comes_out_as_it_was_put_in(name: str, subject: str, text: str) -> None:
    wire = composed(letter(from_name=name, subject=subject, text=text))
    assert wire.isascii()
    lines = wire.split("\r\n")
    assert not any("\r" in line or "\n" in line for line in lines)
    assert max(map(len, lines)) <= 998
    mail = read(wire)
    assert len(mail.keys()) == len(set(mail.keys()))
    assert set(mail.keys()) == set(read(composed(FIRST)).keys())
    assert as_read(message_from_string(wire)["Subject"]) == one_line(subject)
    assert envelope(wire) == ("desk@harrowlane.example", "ines@post.example")
    kept = "\n".join(line if line == "-- " else line.rstrip(" ") for line in text.rstrip("\n").split("\n"))
    assert unflowed(mail.get_content()).rstrip("\n") == kept.rstrip("\n")


@pytest.mark.parametrize(
    "name",
    [
        "Größer & Söhne, Instrumente",
        'The "Old" Shop',
        "Saiten (alt), Wien",
        "A=?utf-8?q?b?=",
        "古い弦楽器の店 " * 6,
        "Plain",
    ],
)
def test_a_name_beyond_ascii_is_coded_and_read_back(name: str) -> None:
    coded, address = parseaddr(message_from_string(composed(letter(from_name=name)))["From"])
    assert (as_read(coded), address) == (name.strip(), "desk@harrowlane.example")


@pytest.mark.parametrize("split", ["\r\n", "\n", "\r", "\x0b", "\x0c", "\x85", "\u2028", "\0"])
def test_no_line_break_in_a_name_or_a_subject_makes_a_heading(split: str) -> None:
    evil = f"Ines{split}Bcc: all@post.example{split}{split}Send money"
    mail = read(composed(letter(from_name=evil, subject=evil)))
    assert mail["Bcc"] is None
    assert mail["Subject"] == "Ines Bcc: all@post.example Send money"
    assert mail.get_content().strip() == "It is still here."


@pytest.mark.parametrize(
    "to", ["ines@post.example\r\nBcc: x@y.example", "a@b.example, c@d.example", "a b@c.example"]
)
def test_an_address_that_is_more_than_one_is_not_written(to: str) -> None:
    with pytest.raises(ValueError, match="no address"):
        composed(letter(to=to))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("X-One\r\nBcc", "x"),
        ("X One", "x"),
        ("X-One", "a\r\nBcc: b@c.example"),
        ("X-One", "é"),
        ("X", "y" * 999),
    ],
)
def test_a_further_heading_that_is_none_is_refused(name: str, value: str) -> None:
    with pytest.raises(ValueError, match="not to be written"):
        composed(letter(headers={name: value}))


def test_further_headings_stand_as_they_are_however_long() -> None:
    link = f"<https://harrowlane.example/wants/stop/{'t0ken' * 40}/>"
    wire = composed(
        letter(headers={"List-Unsubscribe": link, "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"})
    )
    assert (
        f"\r\nList-Unsubscribe: {link}\r\n" in wire
    )  # RFC 8058, section 2: to be read by programs, so not coded
    assert "\r\nList-Unsubscribe-Post: List-Unsubscribe=One-Click\r\n" in wire


def test_long_names_of_mails_are_not_coded_either() -> None:
    parents = [f"<{number}-{'x' * 180}@post.example>" for number in range(30)]
    wire = composed(letter(in_reply_to=parents[-1], references=parents))
    mail = read(wire)
    assert "=?" not in wire.partition("\r\n\r\n")[0]
    assert mail["In-Reply-To"] == parents[-1]
    assert mail["References"].split() == [parents[0], *parents[-19:]]


def test_what_is_no_name_of_a_mail_is_left_out() -> None:
    mail = read(
        composed(letter(in_reply_to="<a b@c>\r\nBcc: x", references=["<a@b.example>", "junk", "<é@b>"]))
    )
    assert mail["In-Reply-To"] is None
    assert mail["References"] == "<a@b.example>"


def test_what_goes_by_itself_says_so() -> None:
    assert read(composed(letter(automatic=True)))["Auto-Submitted"] == "auto-replied"  # RFC 3834, section 5


def test_a_domain_of_another_script_goes_out_in_ascii() -> None:
    assert read(composed(letter(to="ines@bücher.example")))["To"] == "ines@xn--bcher-kva.example"


def test_a_corrected_address_changes_the_address_alone() -> None:
    wire = composed(letter(text="To: nobody\n"))
    assert readdressed(wire, "ines@mail.example") == wire.replace("ines@post.example", "ines@mail.example")


def test_long_lines_are_broken_softly_and_marks_of_quoting_are_stuffed() -> None:
    # RFC 3676, sections 4.2 and 4.4.
    text = f"{'word ' * 40}end\n> not quoted\nFrom here\n-- \nHarrow Lane"
    lines = flowed(text).split("\n")
    assert max(map(len, lines)) <= 72
    assert [line for line in lines if line.startswith((" ", ">"))] == [" > not quoted", " From here"]
    assert "-- " in lines
    assert unflowed(flowed(text)) == f"{text}\n"
