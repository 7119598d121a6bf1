"""What a mail is, from its headings: the sources are named in inquiries/mail/rules.py."""

import pytest

from inquiries.mail.rules import (
    Marks,
    Sort,
    answers_to,
    bare_subject,
    ids_in,
    key_of,
    sorted_as,
    stock_in,
)

SHOP = "desk@harrowlane.example"


def sort_of(*headers: tuple[str, str], **marks: object) -> Sort:
    given = {"from_email": "ines@post.example"} | marks
    return sorted_as(Marks(headers=headers, **given), own=SHOP)[0]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("heading", "value", "expected"),
    [
        # RFC 3834, section 5: any word but “no” is automatic; a comment or a parameter may follow.
        ("auto-submitted", "no", Sort.PERSON),
        ("auto-submitted", "No (a person wrote this)", Sort.PERSON),
        ("auto-submitted", "auto-replied", Sort.AUTOMATIC),
        ("auto-submitted", "auto-generated; owner-email=x@y.example", Sort.AUTOMATIC),
        ("auto-submitted", "auto-notified", Sort.AUTOMATIC),
        ("auto-submitted", "auto-of-tomorrow", Sort.AUTOMATIC),
        # RFC 2919 and RFC 2369.
        ("list-id", "Talk <talk.strings.example>", Sort.LIST),
        ("list-unsubscribe", "<mailto:off@strings.example>", Sort.LIST),
        # Common practice, no source.
        ("x-autoreply", "yes", Sort.AUTOMATIC),
        ("x-autorespond", "", Sort.AUTOMATIC),
        ("precedence", "bulk", Sort.LIST),
        ("precedence", "list", Sort.LIST),
        ("precedence", "junk", Sort.AUTOMATIC),
        ("precedence", "auto_reply", Sort.AUTOMATIC),
        ("precedence", "first-class", Sort.PERSON),
        ("x-auto-response-suppress", "All", Sort.PERSON),
        ("x-spam-flag", "YES", Sort.SPAM),
        ("x-spam-flag", "NO", Sort.PERSON),
        ("x-spam-status", "Yes, score=9.1 required=5", Sort.SPAM),
        ("x-spam-status", "No, score=1.0 required=5 tests=YESTERDAY", Sort.PERSON),
        # RFC 5321, section 4.5.5.
        ("return-path", "<>", Sort.BOUNCE),
        ("return-path", "<ines@post.example>", Sort.PERSON),
        ("subject", "Auto-Submitted: auto-replied", Sort.PERSON),
    ],
)
def test_each_heading_says_what_its_source_says(heading: str, value: str, expected: Sort) -> None:
    assert sort_of((heading, value)) == expected


@pytest.mark.parametrize(
    ("writer", "expected"),
    [
        ("MAILER-DAEMON@mx.example", Sort.BOUNCE),
        ("Desk@HarrowLane.example", Sort.OWN),
        ("desk+2abc@harrowlane.example", Sort.OWN),
        ("desks@harrowlane.example", Sort.PERSON),
        ("desk@harrowlane.example.evil.example", Sort.PERSON),
    ],
)
def test_each_writer_is_told(writer: str, expected: Sort) -> None:
    assert sort_of(from_email=writer) == expected


def test_a_report_is_told_by_its_kind() -> None:
    delivery = {"content_type": "multipart/report", "report_type": "delivery-status"}
    opened = {"content_type": "multipart/report", "report_type": "disposition-notification"}
    assert sort_of(("auto-submitted", "auto-replied"), **delivery) == Sort.BOUNCE
    assert sort_of(**opened) == Sort.AUTOMATIC


def test_an_automatic_reply_without_a_way_back_is_no_report() -> None:
    # RFC 3834, section 3.3: a responder sends with an empty return path.
    assert sort_of(("return-path", "<>"), ("auto-submitted", "auto-replied")) == Sort.AUTOMATIC


def test_what_has_neither_writer_nor_words_is_not_readable() -> None:
    assert sort_of(from_email="", empty=True) == Sort.UNREADABLE


def test_every_sort_but_a_person_has_its_reason() -> None:
    for headers in ((("list-id", "x"),), (("x-spam-flag", "yes"),), (("return-path", "<>"),)):
        sort, why = sorted_as(Marks(headers=headers), own=SHOP)
        assert sort != Sort.PERSON
        assert why.endswith(".") or why.endswith(").")
    assert sorted_as(Marks(from_email="a@b.example"), own="") == (Sort.PERSON, "")


def test_the_parent_comes_first() -> None:
    # RFC 5322, appendix A.2: the third message of its example names its parent in both headings.
    references = ids_in("<1234@local.machine.example> <3456@example.net>")
    assert answers_to(ids_in("<3456@example.net>"), references) == [
        "<3456@example.net>",
        "<1234@local.machine.example>",
    ]
    assert answers_to([], ["<a@x>", "<b@x>"]) == ["<b@x>", "<a@x>"]


def test_ids_are_found_among_other_words() -> None:
    assert ids_in("Your message of Monday <a@x.example>\t(comment) <b@x.example><c@x.example>") == [
        "<a@x.example>",
        "<b@x.example>",
        "<c@x.example>",
    ]
    assert ids_in("no id <at all") == []
    assert ids_in(f"<{'x' * 300}@x.example>") == []


@pytest.mark.parametrize(
    ("subject", "bare"),
    [
        ("Re: A question", "A question"),
        ("AW: WG: Re[2]: A question", "A question"),
        ("SV: VS: Fwd: A  question ", "A question"),
        ("[EXTERNAL] Re: A question", "A question"),
        ("Regarding: the neck", "Regarding: the neck"),
        ("Re", "Re"),
        ("", ""),
    ],
)
def test_what_answering_puts_before_a_subject_is_taken_off(subject: str, bare: str) -> None:
    assert bare_subject(subject) == bare


@pytest.mark.parametrize(
    ("subject", "number"),
    [
        ("Re: Corvane Meadowlark No. 3 (no. 1047)", 1047),
        ("Your No. 12", 12),
        ("No 12", None),
        ("Catalogue", None),
    ],
)
def test_a_stock_number_is_found_in_a_subject_that_was_ours(subject: str, number: int | None) -> None:
    assert stock_in(subject) == number


def test_a_copy_by_another_way_is_the_same_message() -> None:
    one = b"Received: a\r\nMessage-ID: <a@x>\r\n\r\nHello\r\n"
    two = b"Received: b\nReceived: c\nMessage-ID: <a@x>\n\nHello\n"
    assert key_of(one, header_id="<a@x>", others=[]) == key_of(two, header_id="<a@x>", others=[])
    other = two.replace(b"Hello", b"Hullo")
    assert key_of(two, header_id="<a@x>", others=[]) != key_of(other, header_id="<a@x>", others=[])


def test_without_an_id_who_and_when_tell_apart() -> None:
    body = b"From: a\n\nHello\n"
    assert key_of(body, header_id="", others=["Mon", "a"]) != key_of(body, header_id="", others=["Mon", "b"])
    assert key_of(b"X: 1\n\nHello", header_id="", others=[]) != key_of(
        b"X: 2\n\nHello", header_id="", others=[]
    )
