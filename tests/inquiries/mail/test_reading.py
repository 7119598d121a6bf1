"""Any bytes are read without a fault, and what can be understood is."""

import time
from datetime import UTC, datetime
from email.message import EmailMessage

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inquiries.mail.charsets import decoded
from inquiries.mail.file_types import clean_name, real_type, trouble_with
from inquiries.mail.reading import MOST_FILES, read
from inquiries.mail.texts import cleaned, joined_lines, parted, text_of
from tests.inquiries.mail.letters import letter, raw, returned

# What is written, the name that the mail gives, the codec that writes it.
CHARSETS = [
    ("Für 1200 € – größer", "iso-8859-15", "cp1252"),
    ("Für 1200 € größer", "iso-8859-15", "iso-8859-15"),
    ("Сколько стоит банджо?", "windows-1251", "windows-1251"),
    ("Сколько стоит банджо?", "koi8-r", "koi8-r"),
    ("これはいくらですか", "shift_jis", "shift_jis"),
    ("これはいくらですか", "iso-2022-jp", "iso-2022-jp"),
    ("これはいくらですか", "euc-jp", "euc-jp"),
    ("这把琴多少钱", "gb2312", "gb2312"),
    ("這把琴多少錢", "big5", "big5"),
    ("이 밴조는 얼마입니까", "euc-kr", "euc-kr"),
    ("Größe 26¼″", "utf-7", "utf-7"),
    ("Größe und Länge", "x-mac-roman", "mac_roman"),
    ("Größe und Länge", "unknown-8bit", "utf-8"),
    ("Größe und Länge", "us-ascii", "utf-8"),
    ("Größe und Länge", "no-such-charset", "cp1252"),
    ("Größe und Länge", "utf-8", "cp1252"),  # it says what is not true
    ("“Really” – yes", "iso-8859-1", "cp1252"),  # WHATWG, Encoding Standard, section 4.2
    ("ราคาเท่าไร", "tis-620", "cp874"),
    ("πόσο κάνει", "iso-8859-7", "iso-8859-7"),
    ("שלום", "iso-8859-8-i", "iso-8859-8"),
]


@pytest.mark.parametrize(
    ("text", "name", "codec"), CHARSETS[1:], ids=lambda value: value if value.isascii() else ""
)
def test_odd_character_sets_are_read(text: str, name: str, codec: str) -> None:
    wire = (
        f'From: a@b.example\nContent-Type: text/plain; charset="{name}"\nContent-Transfer-Encoding: 8bit\n\n'
    ).encode() + text.encode(codec)
    assert read(wire).body == text


@pytest.mark.parametrize(
    "name",
    ["base64", "rot13", "zlib", "unicode_escape", "idna", "undefined", "punycode", "\x00", "ü", "x" * 999],
)
def test_what_is_no_character_set_is_none(name: str) -> None:
    assert decoded("Größe".encode(), name) == "Größe"


@given(st.binary(max_size=400), st.text(max_size=20))
def test_any_bytes_in_any_character_set_are_text_that_a_database_keeps(data: bytes, charset: str) -> None:
    text = decoded(data, charset)
    text.encode("utf-8")
    assert "\x00" not in text


LINES = st.lists(
    st.one_of(
        st.binary(max_size=60),
        st.sampled_from(
            [
                b"From: =?utf-8?q?In=C3=A9s?= <i@x.example>",
                b"From: \xff\xfe <@@@>, ((((",
                b"Subject: =?koi8-r?b?!!!?= =?x?y?z?=",
                b"Content-Type: multipart/mixed; boundary=b",
                b"Content-Type: multipart/alternative; boundary*0*=utf-9''%ff; boundary*1=b",
                b"Content-Type: text/html; charset=utf-7",
                b"Content-Type: message/rfc822",
                b"Content-Type: multipart/report; report-type=delivery-status; boundary=b",
                b"Content-Type: ;;;=",
                b"Content-Transfer-Encoding: base64",
                b"Content-Transfer-Encoding: x-uuencode",
                b"Content-Transfer-Encoding: quoted-printable",
                b"Content-Disposition: attachment; filename*=utf-16''%00%",
                b"Date: Mon, 99 Foo 99999 99:99:99 +9999",
                b"Message-ID: <\x00@x>",
                b"References: " + b"<a@b> " * 50,
                b"begin 644 x",
                b"--b",
                b"--b--",
                b"",
                b"=ff=\x00",
                b"<div><blockquote><a href=javascript:x>y",
            ]
        ),
    ),
    max_size=25,
)


@settings(max_examples=300)
@given(st.one_of(st.binary(max_size=300), LINES.map(b"\n".join), LINES.map(b"\r\n".join)))
def test_any_bytes_are_read_without_a_fault(data: bytes) -> None:
    reading = read(data)
    shown = [
        reading.from_name,
        reading.from_email,
        reading.subject,
        reading.body,
        reading.quoted,
        reading.html,
    ]
    for text in [
        *shown,
        reading.header_id,
        *reading.references,
        *reading.to,
        *(file.name for file in reading.files),
    ]:
        text.encode("utf-8")
        assert "\x00" not in text
    assert len(reading.header_id) <= 255
    assert len(reading.from_email) <= 254
    assert all(0 < len(file.name) <= 255 for file in reading.files)


@given(st.text(max_size=60))
def test_whatever_stands_in_a_plain_mail_is_in_its_reading(words: str) -> None:
    message = EmailMessage()
    message["From"] = "a@b.example"
    said = "".join(c for c in words if c.isprintable()).strip()
    message.set_content(f"Before {said} after\n")
    reading = read(message.as_bytes())
    assert " ".join(f"Before {said} after".split()) in " ".join((reading.body + reading.quoted).split())


HOSTILE = {
    "many addresses": b"From: " + b'"a" <a@b.c>, ' * 100_000 + b"\n\nhi",
    "open brackets": b"From: " + b"(" * 100_000 + b"\n\nhi",
    "parts in parts": b"".join(
        b"Content-Type: multipart/mixed; boundary=b%d\n\n--b%d\n" % (n, n) for n in range(3000)
    ),
    "many parts": b"Content-Type: multipart/mixed; boundary=b\n\n" + b"--b\n\nx\n" * 30_000,
    "heads of quotations": b"\n\n" + (b"On " * 60 + b"\n") * 20_000,
    "elements in elements": b"Content-Type: text/html\n\n" + b"<div>" * 200_000,
    "open tags": b"Content-Type: text/html\n\n" + b"<" * 1_000_000,
    "coded words": b"Subject: " + b"=?utf-8?q?a?= " * 100_000 + b"\n\nhi",
    "parameters": b"Content-Type: text/plain; " + b"a=b; " * 300_000 + b"\n\nhi",
    "headings": b"A: b\n" * 200_000 + b"\n\nhi",
    "folded": b"Subject: a\n" + b" b\n" * 200_000 + b"\n\n",
    "nothing but nought": b"\x00" * 100_000,
    "nothing": b"",
}


@pytest.mark.parametrize("wire", HOSTILE.values(), ids=HOSTILE)
def test_what_was_made_to_take_long_does_not(wire: bytes) -> None:
    began = time.monotonic()
    read(wire)
    assert time.monotonic() - began < 20  # some take a second here, and took minutes before they were bounded


def test_headings_are_read_also_where_the_form_is_past_reading() -> None:
    reading = read(b"From: Ines <i@x.example>\nSubject: Neck\n" + HOSTILE["parts in parts"])
    assert (reading.from_email, reading.subject) == ("i@x.example", "Neck")
    assert "could not be understood" in reading.trouble


def test_who_wrote_when_and_about_what() -> None:
    reading = read(
        b"From: =?iso-8859-1?Q?In=E9s?= Vale <Ines@Post.example>\n"
        b'To: desk@harrowlane.example, "Vale, Cole" <cole@post.example>\nDelivered-To: desk+a1@harrowlane.example\n'
        b"Subject: =?utf-8?b?R3LDvMOfZQ==?=\n =?utf-8?q?_aus_K=C3=B6ln?=\n"
        b"Date: Wed, 10 Jun 2026 14:00:00 +0200\nMessage-ID:\n <a@x>\n\nhi"
    )
    assert (reading.from_name, reading.from_email) == ("Inés Vale", "Ines@Post.example")
    assert reading.to == ("desk@harrowlane.example", "cole@post.example", "desk+a1@harrowlane.example")
    assert reading.subject == "Grüße aus Köln"
    assert reading.written_at == datetime(2026, 6, 10, 12, tzinfo=UTC)
    assert reading.header_id == "<a@x>"


def test_eight_bits_in_a_heading_are_read() -> None:
    assert read("Subject: Grüße\n\n".encode()).subject == "Grüße"
    assert read("Subject: Grüße\n\n".encode("cp1252")).subject == "Grüße"


@pytest.mark.parametrize(
    "date",
    ["", "yesterday", "Fri, 31 Dec 9999 23:59:59 -2359", "1 1 1 1 1"],
)
def test_a_date_that_is_none_is_none(date: str) -> None:
    assert read(f"Date: {date}\n\nhi".encode()).written_at is None


QUOTED = {
    "en": "On Mon, Jun 8, 2026 at 10:12 AM Ada Quill <desk@harrowlane.example> wrote:",
    "en, two lines": "On Mon, Jun 8, 2026 at 10:12 AM Ada Quill\n<desk@harrowlane.example> wrote:",
    "de": "Am 08.06.2026 um 10:12 schrieb Ada Quill <desk@harrowlane.example>:",
    "fr": "Le 8 juin 2026 à 10:12, Ada Quill a écrit :",
    "it": "Il giorno 8 giugno 2026 Ada Quill ha scritto:",
    "nl": "Op 8 juni 2026 om 10:12 schreef Ada Quill:",
    "laid out": "From: Ada Quill\nSent: Monday, June 8, 2026\nTo: Ines\nSubject: Re: A question\n",
    "laid out, de": "Von: Ada Quill\nGesendet: Montag\nAn: Ines\nBetreff: Re: A question\n",
}


@pytest.mark.parametrize("head", [head for name, head in QUOTED.items() if "laid" not in name])
def test_what_is_only_quoted_is_told_from_what_is_said(head: str) -> None:
    text = f"Yes, please hold it.\n\nInes\n\n{head}\n> It is here.\n>\n> Ada\n"
    said, quoted = parted(text)
    assert said == "Yes, please hold it.\n\nInes"
    assert quoted.startswith(head)


@pytest.mark.parametrize("head", [head for name, head in QUOTED.items() if "laid" in name])
def test_what_is_quoted_without_marks_too(head: str) -> None:
    said, quoted = parted(f"Yes, please hold it.\n\n{head}\nIt is here.\n\nAda\n")
    assert said == "Yes, please hold it."
    assert "It is here." in quoted


@pytest.mark.parametrize(
    "text",
    [
        "On Mon, Ada wrote:\n> Is it original?\nYes.\n> And the case?\nNo.\n",
        "On Mon, Ada wrote:\n> Is it original?\n\nYes, it is.\n",
        "> Is it original?\nYes.\n",
        "Dear Ada,\n> Is it original?\nYes.\n",
        "On the whole I like what he wrote: nothing.\nRegards\n",
        "> only what we said\n",
        "Plain words.\n",
        "",
    ],
)
def test_an_answer_written_into_our_lines_is_read_with_them(text: str) -> None:
    assert parted(text) == (text, "")


@given(st.lists(st.sampled_from(["word", "> mark", "", *QUOTED.values(), "-- ", "Ines"]), max_size=12))
def test_parting_loses_no_line(lines: list[str]) -> None:
    text = "\n".join(lines)
    said, quoted = parted(text)
    kept, given_lines = f"{said}\n{quoted}".split("\n"), text.split("\n")
    assert [x.strip() for x in kept if x.strip()] == [x.strip() for x in given_lines if x.strip()]


def test_markup_is_cleaned_of_all_that_runs_or_loads() -> None:
    clean = cleaned(
        '<p style="background:url(http://t.example)" onclick="x()">Hi <img src="http://t.example/p.png">'
        '<a href="javascript:x()">a</a><a href="http://shop.example/x" target=_top>b</a><script>x()</script>'
        "<link rel=stylesheet href=http://t.example><iframe src=http://t.example></iframe><form action=/desk/>"
        '<input name=x></form><svg><image href="http://t.example"/></svg><video poster=http://t.example>'
        '<base href=http://t.example><meta http-equiv=refresh content="0;url=http://t.example"></p>'
    )
    assert "t.example" not in clean
    for forbidden in (
        "<img",
        "script",
        "style",
        "onclick",
        "iframe",
        "<form",
        "<input",
        "svg",
        "target",
        "<base",
    ):
        assert forbidden not in clean
    assert '<a href="http://shop.example/x" rel="noopener noreferrer nofollow">b</a>' in clean


@given(st.text(alphabet="<>/abhrefsimgtp=\"' :;#&", max_size=80))
def test_no_cleaned_markup_has_an_element_that_loads(markup: str) -> None:
    clean = cleaned(markup).lower()
    assert "<img" not in clean
    assert "src=" not in clean.replace("&quot;", "").partition("<img")[2]


def test_markup_becomes_lines() -> None:
    markup = cleaned(
        "<div>Dear <b>Ada</b>,</div><p>is it<br>there?</p><ul><li>neck<li>rim</ul>"
        '<table><tr><td>Weight<td>9 lb</table><p><a href="http://x.example/">a picture</a></p>'
        "<blockquote><p>It is here.</p><blockquote>Is it?</blockquote></blockquote>"
    )
    assert text_of(markup) == (
        "Dear Ada,\n\nis it\nthere?\n\n- neck\n- rim\n\nWeight\t9 lb\n\na picture <http://x.example/>\n\n"
        "> It is here.\n>\n>> Is it?"
    )


def test_a_mail_of_markup_alone_has_text() -> None:
    message = EmailMessage()
    message.set_content("<p>Is it <i>there</i>?</p>", subtype="html")
    reading = read(message.as_bytes())
    assert (reading.body, reading.html) == ("Is it there?", "<p>Is it <i>there</i>?</p>")


def test_of_two_forms_the_plain_one_is_the_text_and_no_file() -> None:
    message = letter("Plain\n")
    message.add_alternative("<p>Laid out</p>", subtype="html")
    reading = read(message.as_bytes())
    assert (reading.body, reading.html, reading.files) == ("Plain", "<p>Laid out</p>", ())


def test_flowed_lines_are_joined_and_quoted_ones_are_not() -> None:
    # RFC 3676, sections 4.1 and 4.2.
    assert joined_lines("one \ntwo\n> q \n> r\n-- \nInes") == "one two\n> q \n> r\n-- \nInes"
    assert joined_lines("日本 \n語", delsp=True) == "日本語"


def test_a_mail_handed_on_is_a_file_of_the_mail() -> None:
    inner = letter("Inner words\n", Subject="Inner")
    message = letter("See below.\n")
    message.add_attachment(inner)
    reading = read(message.as_bytes())
    (file,) = reading.files
    assert reading.body == "See below."
    assert file.name.endswith(".eml")
    assert b"Inner words" in file.data


def test_more_files_than_are_shown_are_told_of() -> None:
    message = letter()
    for number in range(MOST_FILES + 3):
        message.add_attachment(b"x", maintype="application", subtype="pdf", filename=f"{number}.pdf")
    files = read(message.as_bytes()).files
    assert len(files) == MOST_FILES
    assert files[-1].trouble.startswith("3 more came with it")


def test_a_report_says_which_mail_and_why() -> None:
    report = read(returned("<ours@harrowlane.example>")).report
    assert report is not None
    assert report.ids == ("<ours@harrowlane.example>",)
    assert (report.action, report.recipient) == ("failed", "ines@post.example")
    assert report.said == "550 5.1.1 No such person here"


def test_a_report_in_plain_words_says_which_mail_too() -> None:
    text = "I could not deliver this:\n\n--- Below is a copy.\n\nMessage-ID: <ours@harrowlane.example>\nSubject: x\n"
    report = read(raw(text, From="MAILER-DAEMON@mx.example")).report
    assert report is not None
    assert report.ids == ("<ours@harrowlane.example>",)


@pytest.mark.parametrize(
    ("given_name", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\x\\bill.pdf", "bill.pdf"),
        ("bill\u202efdp.exe", "billfdp.exe"),
        ("a\x00b\r\n.pdf", "ab.pdf"),
        ("Größe.jpg", "Größe.jpg"),
        ("...", "attachment 3"),
        ("", "attachment 3"),
        ("x" * 400 + ".pdf", "x" * 146 + ".pdf"),
        ('a<b>:"c|?*.txt', "a_b___c___.txt"),
    ],
)
def test_a_name_is_one_that_can_be_saved_under(given_name: str, kept: str) -> None:
    assert clean_name(given_name, 3) == kept


@given(st.text(max_size=300))
def test_no_name_leads_anywhere(name: str) -> None:
    clean = clean_name(name, 1)
    assert clean
    assert len(clean) <= 150
    assert not set(clean) & set("/\\\x00\r\n\u202e")
    assert clean not in {".", ".."}


@pytest.mark.parametrize(
    ("name", "declared", "start", "trouble"),
    [
        ("bill.pdf", "application/pdf", b"%PDF-1.7", ""),
        ("bill.pdf", "application/octet-stream", b"%PDF-1.7", ""),
        ("photo.jpg", "image/jpg", b"\xff\xd8\xff\xe0", ""),
        ("terms.docx", "application/vnd.openxmlformats", b"PK\x03\x04", ""),
        ("note.txt", "text/plain", b"hello", ""),
        ("date.ics", "text/calendar", b"BEGIN:VCALENDAR", ""),
        ("tune.mp3", "audio/mpeg", b"ID3\x04", ""),
        (
            "bill.pdf",
            "application/pdf",
            b"MZ\x90",
            "It is a program, whatever its name says. Do not open it.",
        ),
        (
            "photo.jpg",
            "image/jpeg",
            b"<html><script>",
            "Its name says that it is a picture (JPEG); it is a web page.",
        ),
        ("photo", "image/png", b"%PDF-", "It was sent as a picture (PNG); it is a PDF."),
        (
            "photo.png",
            "image/png",
            b"\xff\xd8\xff",
            "Its name says that it is a picture (PNG); it is a picture (JPEG).",
        ),
    ],
)
def test_what_is_odd_about_a_file_is_said(name: str, declared: str, start: bytes, trouble: str) -> None:
    assert trouble_with(name, declared, real_type(start)) == trouble


@pytest.mark.parametrize("name", ["run.js", "x.pdf.exe", "deed.SCR", "sheet.xlsm"])
def test_what_can_run_is_said_to(name: str) -> None:
    assert "can run as a program" in trouble_with(name, "", real_type(b"PK\x03\x04"))
