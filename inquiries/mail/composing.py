"""One mail of ours as the text that goes to the server (RFC 5322), from values alone.

It is plain text, flowed (RFC 3676), so that lines break where the reader's window does; ASCII as it stands, anything
else as quoted-printable. A heading that would hold a line break, or a letter it may not, is never made.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from email import message_from_string
from email.header import Header
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, quote

from inquiries.mail.addresses import in_ascii

WIDTH = 72  # RFC 3676, section 4.2: no more than 78
LONGEST_LINE = 998  # RFC 5322, section 2.1.1
MOST_REFERENCES = (
    20  # RFC 5537, section 3.4.4, has the first and some of the last kept where there are too many
)
HEADING = re.compile(r"[A-Za-z][A-Za-z0-9-]*\Z")
ADDRESS = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]+@[A-Za-z0-9.-]+\Z")  # RFC 5321, without quoted ones
MESSAGE_ID = re.compile(r"<[!-;=?-~]+>\Z")


@dataclass(frozen=True)
class Letter:
    """What a mail says, to whom, and where it stands in its thread."""

    message_id: str
    at: datetime
    from_name: str
    from_email: str
    to: str
    reply_to: str
    subject: str
    text: str
    in_reply_to: str = ""
    references: Sequence[str] = ()
    automatic: bool = False
    headers: Mapping[str, str] = field(default_factory=dict)


def composed(letter: Letter) -> str:
    """The whole mail, lines ending as on the wire, in ASCII."""
    message = EmailMessage(policy=SMTP)
    text = flowed(letter.text)
    message.set_content(
        text, cte="7bit" if text.isascii() else "quoted-printable", params={"format": "flowed"}
    )
    return "".join([*_headings(letter), *_plain_headings(letter)]) + message.as_bytes().decode("ascii")


def envelope(wire: str) -> tuple[str, str]:
    """Who sends and who receives, as the mail itself says."""
    message = message_from_string(wire, policy=SMTP)
    return message["From"].addresses[0].addr_spec, message["To"].addresses[0].addr_spec


def readdressed(wire: str, to: str) -> str:
    """The same mail to another address of the same person."""
    head, gap, text = wire.partition("\r\n\r\n")
    lines = [f"To: {in_ascii(to)}" if line.startswith("To: ") else line for line in head.split("\r\n")]
    return "\r\n".join(lines) + gap + text


def one_line(text: str) -> str:
    """The words on one line, without a character that is none."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _headings(letter: Letter) -> list[str]:
    """When, from whom, to whom, about what."""
    name = one_line(letter.from_name)
    lines = [
        f"Date: {format_datetime(letter.at)}",
        f"From: {_mailbox(name, letter.from_email)}",
        f"To: {_address(letter.to)}",
        f"Subject: {_coded(one_line(letter.subject), 'Subject')}",
    ]
    if letter.reply_to != letter.from_email:
        lines.append(f"Reply-To: {_mailbox(name, letter.reply_to)}")
    return [f"{line}\r\n" for line in lines]


def _mailbox(name: str, email: str) -> str:
    if not name:
        return _address(email)
    return f"{_phrase(name)} <{_address(email)}>"


def _phrase(name: str) -> str:
    """A name before an address: quoted, or coded where it has letters beyond ASCII (RFC 2047, section 5)."""
    return f'"{quote(name)}"' if _stands(name) else _coded(name, "Reply-To")


def _address(email: str) -> str:
    """One address and nothing else; ValueError for anything that is not."""
    written = in_ascii(email)
    if not ADDRESS.match(written):
        raise ValueError(f"no address: {email!r}")
    return written


def _coded(text: str, heading: str) -> str:
    """Text in a heading: as it stands, or coded as RFC 2047 has it, in lines that are not too long."""
    if _stands(text) and len(text) < WIDTH:
        return text
    return Header(text, "utf-8", maxlinelen=WIDTH, header_name=heading).encode(linesep="\r\n")


def _stands(text: str) -> bool:
    return text.isascii() and "=?" not in text


def _plain_headings(letter: Letter) -> list[str]:
    """Headings written as they stand: a long one must not be coded, or nobody could compare it."""
    if not MESSAGE_ID.match(letter.message_id):
        raise ValueError(f"no Message-ID: {letter.message_id!r}")
    lines = [f"Message-ID: {letter.message_id}\r\n"]
    if MESSAGE_ID.match(letter.in_reply_to):
        lines.append(f"In-Reply-To: {letter.in_reply_to}\r\n")
    if kept := _few(list(filter(MESSAGE_ID.match, letter.references))):
        lines.append("References: " + "\r\n ".join(kept) + "\r\n")
    if letter.automatic:
        lines.append("Auto-Submitted: auto-replied\r\n")  # RFC 3834, section 5
    return lines + [_heading(name, value) for name, value in letter.headers.items()]


def _few(references: list[str]) -> list[str]:
    if len(references) <= MOST_REFERENCES:
        return references
    return [references[0], *references[1 - MOST_REFERENCES :]]


def _heading(name: str, value: str) -> str:
    line = f"{name}: {value}"
    if not HEADING.match(name) or not line.isascii() or not line.isprintable() or len(line) > LONGEST_LINE:
        raise ValueError(f"not to be written as a heading: {name!r}: {value!r}")
    return f"{line}\r\n"


def flowed(text: str) -> str:
    """The text with its long lines broken softly; lines that would be read as quoted are stuffed (RFC 3676)."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n").split("\n")
    return "".join(f"{part}\n" for line in lines for part in _soft_lines(line))


def _soft_lines(line: str) -> list[str]:
    if line == "-- ":
        return [line]  # the line before a signature keeps its space (section 4.3)
    line, parts = line.rstrip(" "), []
    while len(line) > WIDTH and (end := _break_in(line)) > 0:
        parts.append(line[:end])
        line = line[end:]
    return [_stuffed(part) for part in [*parts, line]]


def _break_in(line: str) -> int:
    """Where the line is broken: behind the last space that fits, or behind the first there is."""
    end = line.rfind(" ", 1, WIDTH) + 1
    return end or line.find(" ", 1) + 1


def _stuffed(line: str) -> str:
    return f" {line}" if line.startswith((" ", ">", "From ")) else line


def unflowed(text: str) -> str:
    """The text that was flowed, as a mail program shows it."""
    shown, open_line = [], ""
    for line in text.replace("\r\n", "\n").removesuffix("\n").split("\n"):
        said = line.removeprefix(" ")
        if said.endswith(" ") and said != "-- ":
            open_line += said
            continue
        shown.append(open_line + said)
        open_line = ""
    return "\n".join([*shown, open_line] if open_line else shown) + "\n"
