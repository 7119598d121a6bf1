"""Read a mail from its bytes. Whatever stands in them, this gives a reading and never raises: what cannot be
understood is left empty, and the bytes themselves are kept beside it.

The parts are told apart by Python's parser in its oldest manner, which takes everything; the headings are read in its
newest, each by itself and no longer than a person writes, and by hand where that fails.
"""

import email
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from email import policy
from email.header import decode_header
from email.message import Message
from email.parser import BytesHeaderParser
from email.utils import getaddresses, parsedate_to_datetime
from typing import Any, TypeVar

from inquiries.mail.charsets import clean, decoded
from inquiries.mail.file_types import clean_name
from inquiries.mail.rules import Marks, below_headings, ids_in
from inquiries.mail.texts import cleaned, joined_lines, parted, shortened, text_of

LONGEST_HEADING = 8000  # more than a person writes; what is longer is cut before it is read
MOST_HEADINGS = 1000
MOST_PARTS = 400
MOST_FILES = 100
EARLIEST, LATEST = datetime(1980, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)

NO_MARKS = Marks(empty=True)

T = TypeVar("T")


@dataclass(frozen=True)
class File:
    """A file that came with a mail; `trouble` says what is odd about how it came."""

    name: str
    declared_type: str
    data: bytes
    trouble: str = ""


@dataclass(frozen=True)
class Report:
    """What a mail server reports on a mail (RFC 3464)."""

    ids: tuple[str, ...] = ()
    action: str = ""
    recipient: str = ""
    said: str = ""


@dataclass(frozen=True)
class Reading:
    """A mail as understood."""

    marks: Marks = NO_MARKS
    header_id: str = ""
    in_reply_to: tuple[str, ...] = ()
    references: tuple[str, ...] = ()
    from_name: str = ""
    from_email: str = ""
    to: tuple[str, ...] = ()
    subject: str = ""
    date: str = ""
    written_at: datetime | None = None
    body: str = ""
    quoted: str = ""
    html: str = ""
    files: tuple[File, ...] = ()
    report: Report | None = None
    trouble: str = ""


def read(raw: bytes) -> Reading:
    """The mail as understood; where even that fails, its text as it stands."""
    try:
        return _read(email.message_from_bytes(raw, policy=_Cut()))
    except Exception as problem:  # a parser that falls over a mail must not lose it
        trouble = f"Its form could not be understood ({type(problem).__name__})."
    text = shortened(decoded(below_headings(raw)[:1_000_000]))
    try:
        heads = _read(BytesHeaderParser(policy=_Cut()).parsebytes(raw[:200_000]))
    except Exception:  # as above
        heads = Reading()
    return replace(heads, body=text, quoted="", html="", files=(), report=None, trouble=trouble)


def _read(message: "Message[str, str]") -> Reading:
    headers = tuple(_headings(message))
    heads = _Heads(headers)
    parts = list(_leaves(message))
    text, markup = _texts(parts)
    files = tuple(_files(parts))
    said, quoted = parted(text)
    name, address = _sender(heads)
    to = _receivers(heads)
    return Reading(
        marks=Marks(
            headers=headers,
            content_type=_type_of(message),
            report_type=_parameter(message, "report-type").lower(),
            from_email=address,
            empty=not address and not text.strip() and not files,
        ),
        header_id=next(iter(ids_in(heads.first("message-id"))), ""),
        in_reply_to=tuple(ids_in(heads.first("in-reply-to"))),
        references=tuple(ids_in(heads.first("references"))),
        from_name=name,
        from_email=address,
        to=to,
        subject=" ".join(words_of(heads.first("subject")).split())[:400],
        date=heads.first("date")[:100],
        written_at=_instant(heads.first("date")),
        body=said,
        quoted=quoted,
        html=markup,
        files=files,
        report=_report(message, parts, text),
    )


class _Cut(policy.Compat32):
    """Takes everything; a heading is cut as it is read, since the time to understand one grows with its square."""

    def header_source_parse(self, sourcelines: list[str]) -> tuple[str, str]:
        """Name and value of one heading."""
        name, value = super().header_source_parse(sourcelines[:200])
        return name, value[:LONGEST_HEADING]


class _Heads:
    """Headings by name."""

    def __init__(self, headers: tuple[tuple[str, str], ...]) -> None:
        self.headers = headers

    def first(self, name: str) -> str:
        """The first of that name, or nothing."""
        return next((value for key, value in self.headers if key == name), "")

    def all(self, *names: str) -> list[str]:
        """Every one of these names."""
        return [value for key, value in self.headers if key in names]


def _headings(message: "Message[str, str]") -> Iterator[tuple[str, str]]:
    """Names in lower case; values on one line, cut, with stray bytes read as text."""
    for name, value in list(message.raw_items())[:MOST_HEADINGS]:
        text = decoded(str(value).encode("utf-8", "surrogateescape"))
        yield clean(name).strip().lower()[:100], re.sub(r"\s*\n\s*", " ", text).strip()


def words_of(value: str) -> str:
    """A heading with its coded words (RFC 2047) read; as it stands where they are broken."""
    if "=?" not in value:
        return value
    read = ""
    try:
        for part, charset in decode_header(value):
            read += part if isinstance(part, str) else decoded(part, charset or "")
    except Exception:  # coded words come broken in every way there is
        return value
    return read


def _sender(heads: _Heads) -> tuple[str, str]:
    for name in ("from", "sender", "reply-to"):
        for said, address in _addresses(heads.first(name)):
            return said[:200], address
    return words_of(heads.first("from"))[:200], ""


def _addresses(value: str) -> list[tuple[str, str]]:
    """Names and addresses; where Python's reader falls over them, what looks like an address."""
    try:
        pairs = getaddresses([value])
    except Exception:  # as above
        pairs = [("", found) for found in re.findall(r"[^\s<>,;:\"()]+@[^\s<>,;:\"()]+", value)]
    found = []
    for name, address in pairs:
        plain = "".join(address.split())
        if "@" in plain and len(plain) <= 254:
            found.append((" ".join(words_of(name).split()), plain))
    return found


RECEIVERS = ("to", "cc", "delivered-to", "x-original-to", "envelope-to")


def _receivers(heads: _Heads) -> tuple[str, ...]:
    """Every address that it went to, as far as it says so; also the one that the server delivered it to."""
    found = [address for value in heads.all(*RECEIVERS) for _, address in _addresses(value)]
    return tuple(dict.fromkeys(found))[:100]


def _instant(value: str) -> datetime | None:
    try:
        at = parsedate_to_datetime(value)
        at = (at if at.tzinfo else at.replace(tzinfo=UTC)).astimezone(UTC)
    except Exception:  # dates come broken in every way there is
        return None
    return at if EARLIEST <= at <= LATEST else None


@dataclass(frozen=True)
class _Leaf:
    """One part that has no parts. `choice` names the part it is one of several forms in."""

    part: "Message[str, str]"
    kind: str
    choice: int = 0


def _leaves(message: "Message[str, str]") -> Iterator[_Leaf]:
    """The parts in their order, without going deeper or further than a person's mail does.

    A mail that is handed on inside another stays whole: it is a file of it.
    """
    waiting: list[tuple[Message[str, str], int]] = [(message, 0)]
    seen = 0
    while waiting and seen < MOST_PARTS:
        part, choice = waiting.pop(0)
        kind = _type_of(part)
        payload = part.get_payload()
        if kind.startswith("multipart/") and isinstance(payload, list):
            inside = id(part) if kind == "multipart/alternative" else choice
            waiting[:0] = [(below, inside) for below in payload if isinstance(below, Message)]
            continue
        seen += 1
        yield _Leaf(part, kind, choice)


def _type_of(part: "Message[str, str]") -> str:
    return _or(lambda: part.get_content_type().lower(), "text/plain")


def _parameter(part: "Message[str, str]", name: str, heading: str = "content-type") -> str:
    return _or(lambda: _plain(part.get_param(name, "", heading)), "")


def _plain(value: Any) -> str:
    """A parameter, also where it is coded as RFC 2231 has it."""
    if isinstance(value, tuple):
        charset, _, text = value
        return decoded(text.encode("latin-1", "replace"), charset or "")
    raw = str(value or "")
    return words_of(decoded(raw.encode("utf-8", "surrogateescape")))


def _or(attempt: Callable[[], T], otherwise: T) -> T:
    try:
        return attempt()
    except Exception:  # Python's reader of headings falls over some
        return otherwise


def _bytes_of(part: "Message[str, str]") -> bytes:
    """What a part holds, with its transfer coding undone as far as it can be."""
    payload = _or(lambda: part.get_payload(decode=True), None)
    if isinstance(payload, bytes):
        return payload
    inside = part.get_payload()
    if isinstance(inside, list):  # a mail inside a mail
        return b"".join(_or(below.as_bytes, b"") for below in inside if isinstance(below, Message))
    return str(inside or "").encode("utf-8", "surrogateescape")


def _name_of(part: "Message[str, str]") -> str:
    return _parameter(part, "filename", "content-disposition") or _parameter(part, "name")


def _is_file(leaf: _Leaf) -> bool:
    disposition = _or(lambda: (part_disposition(leaf.part) or "").lower(), "")
    return disposition == "attachment" or bool(_name_of(leaf.part)) or not leaf.kind.startswith("text/")


def part_disposition(part: "Message[str, str]") -> str | None:
    """How a part asks to be shown."""
    return part.get_content_disposition()


SHOWN = {"text/plain", "text/html"}


def _texts(parts: list[_Leaf]) -> tuple[str, str]:
    """The text for the eye and the cleaned markup, each of all parts that are to be read as the mail itself.

    Of several forms of one thing the plain one is the text; where it is empty, the markup says it.
    """
    words: list[str] = []
    markups: list[str] = []
    plain_in: set[int] = set()
    for leaf in parts:
        if leaf.kind == "text/plain" and not _is_file(leaf):
            said = _text(leaf.part)
            if said.strip():
                words.append(said.strip("\n"))
                plain_in |= {leaf.choice} - {0}
    late: list[str] = []
    for leaf in parts:
        if leaf.kind == "text/html" and not _is_file(leaf):
            markup = cleaned(_text(leaf.part))
            markups.append(markup)
            if leaf.choice not in plain_in:
                late.append(text_of(markup))
    return shortened("\n\n".join([*words, *filter(str.strip, late)])), "\n".join(filter(None, markups))


def _text(part: "Message[str, str]") -> str:
    text = decoded(_bytes_of(part), _parameter(part, "charset"))
    if _type_of(part) == "text/plain" and _parameter(part, "format").lower() == "flowed":
        return joined_lines(text, delsp=_parameter(part, "delsp").lower() == "yes")
    return text


def _files(parts: list[_Leaf]) -> Iterator[File]:
    """Everything that is not shown as the mail itself, up to MOST_FILES; the last says how many more there are."""
    found = [leaf for leaf in parts if leaf.kind not in SHOWN or _is_file(leaf)]
    for number, leaf in enumerate(found[:MOST_FILES], start=1):
        more = len(found) - MOST_FILES if number == MOST_FILES else 0
        trouble = f"{more} more came with it: look into the whole message as received." if more > 0 else ""
        data = _bytes_of(leaf.part)
        if not data and not _name_of(leaf.part):
            continue
        yield File(_file_name(leaf, number), leaf.kind[:127], data, trouble)


def _file_name(leaf: _Leaf, number: int) -> str:
    if leaf.kind == "message/rfc822" and not _name_of(leaf.part):
        return f"message {number}.eml"
    return clean_name(_name_of(leaf.part), number)


DELIVERY_PARTS = {"message/delivery-status", "message/global-delivery-status"}
RETURNED_PARTS = {"message/rfc822", "text/rfc822-headers", "message/global", "message/global-headers"}
REPORT_LETTERS = 100_000


def _report(message: "Message[str, str]", parts: list[_Leaf], text: str) -> Report | None:
    """What a report on delivery says of which mail: its machine-readable parts, else the mail quoted in its text."""
    said, returned = "", ""
    for leaf in parts:
        content = decoded(_bytes_of(leaf.part)[:REPORT_LETTERS])
        if leaf.kind in DELIVERY_PARTS:
            said += content + "\n"
        elif leaf.kind in RETURNED_PARTS:
            returned += content + "\n"
    ids: list[str] = []
    for where in (returned, said, text[:REPORT_LETTERS]):
        for line in re.findall(r"^(?:Original-)?Message-ID:\s*(\S+)", where, re.I | re.M):
            ids += ids_in(line)
    if not said and not ids:
        return None
    return Report(
        ids=tuple(dict.fromkeys(ids)),
        action=_field(said, "Action").lower(),
        recipient=_field(said, "(?:Original|Final)-Recipient").rpartition(";")[2].strip()[:254],
        said=(_field(said, "Diagnostic-Code").partition(";")[2].strip() or _field(said, "Status"))[:200],
    )


def _field(text: str, name: str) -> str:
    """A field of a report (RFC 3464, section 2), with its folded lines."""
    found = None
    with suppress(re.error):
        found = re.search(rf"^{name}:[ \t]*(.*(?:\n[ \t]+.*)*)", text, re.I | re.M)
    return " ".join(found.group(1).split()) if found else ""
