"""What a mail is, and what it answers, from its headings alone.

A heading can be forged, so nothing here gives anybody a right: it only says which pile a mail is laid on. What is
from a person is never thrown away, and what may be from one is shown to the dealer.
"""

import hashlib
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

HEADERS = tuple[tuple[str, str], ...]
LONGEST_ID = 255


class Sort(StrEnum):
    """The piles; the same words as in the table of received mail."""

    PERSON = "person"
    BOUNCE = "bounce"
    AUTOMATIC = "automatic"
    LIST = "list"
    SPAM = "spam"
    OWN = "own"
    UNREADABLE = "unreadable"


@dataclass(frozen=True)
class Marks:
    """What sorting looks at: the headings (names in lower case), the kind of content, and who writes."""

    headers: HEADERS = ()
    content_type: str = "text/plain"
    report_type: str = ""
    from_email: str = ""
    empty: bool = False

    def heading(self, name: str) -> str:
        """The first heading of that name, or nothing."""
        return next((value.strip() for key, value in self.headers if key == name), "")

    def has(self, name: str) -> bool:
        """Whether there is such a heading, be it empty."""
        return any(key == name for key, _ in self.headers)


Rule = Callable[[Marks], tuple[Sort, str] | None]


def sorted_as(marks: Marks, *, own: str) -> tuple[Sort, str]:
    """Which pile, and how that is known in one sentence. `own` is the shop's address.

    A report on another mail comes first, then what says of itself that no person wrote it.
    """
    for rule in (_bounce, _own_mail(own), _automatic, _list, _spam):
        if found := rule(marks):
            return found
    if marks.empty:
        return Sort.UNREADABLE, "It has no sender and no text that can be read."
    return Sort.PERSON, ""


def _bounce(marks: Marks) -> tuple[Sort, str] | None:
    """RFC 3462 and 3464: a report on delivery. RFC 5321, section 4.5.5: such mail has no return path.

    An automatic answer has none either (RFC 3834, section 3.3), but says what it is.
    """
    if marks.content_type == "multipart/report":
        if marks.report_type in {"", "delivery-status"}:
            return Sort.BOUNCE, "A mail server reports on a mail of ours."
        return Sort.AUTOMATIC, "A mail program reports on a mail, such as that it was opened."
    writer = marks.from_email.partition("@")[0].lower()
    if writer == "mailer-daemon":
        return Sort.BOUNCE, "It comes from a mail server itself (MAILER-DAEMON)."
    no_way_back = marks.has("return-path") and marks.heading("return-path") in {"<>", ""}
    if no_way_back and not _automatic(marks):
        return Sort.BOUNCE, "It has no address to go back to, as only reports of mail servers have."
    return None


def _own_mail(own: str) -> Rule:
    local, _, domain = own.lower().rpartition("@")

    def rule(marks: Marks) -> tuple[Sort, str] | None:
        name, _, host = marks.from_email.lower().rpartition("@")
        if local and host == domain and name.partition("+")[0] == local:
            return Sort.OWN, "It bears the shop's own address."
        return None

    return rule


def _automatic(marks: Marks) -> tuple[Sort, str] | None:
    """RFC 3834, section 5: Auto-Submitted with any word but “no”. The rest is common practice, no source.

    X-Auto-Response-Suppress is left alone: it asks for no automatic answer, and persons' programs write it too.
    """
    said = re.split(r"[;\s(]", marks.heading("auto-submitted").lower(), maxsplit=1)[0]
    if said and said != "no":
        return (
            Sort.AUTOMATIC,
            f"It says of itself that it was sent by a machine (Auto-Submitted: {said[:40]}).",
        )
    for name in ("x-autoreply", "x-autorespond", "x-autoresponder", "x-auto-reply", "x-vacation"):
        if marks.has(name) and marks.heading(name).lower() != "no":
            return Sort.AUTOMATIC, f"It says of itself that it is an automatic reply ({name})."
    if marks.heading("precedence").lower() in {"auto_reply", "junk"}:
        return Sort.AUTOMATIC, "Its heading Precedence says that no person waits for an answer."
    return None


def _list(marks: Marks) -> tuple[Sort, str] | None:
    """RFC 2919 (List-Id) and RFC 2369 (List-Unsubscribe, List-Post); Precedence is common practice."""
    for name in ("list-id", "list-unsubscribe", "list-post"):
        if marks.has(name):
            return Sort.LIST, f"It went to many at once (its heading {name} says so)."
    if marks.heading("precedence").lower() in {"bulk", "list"}:
        return Sort.LIST, "It went to many at once (its heading Precedence says so)."
    return None


def _spam(marks: Marks) -> tuple[Sort, str] | None:
    """What the mail server that took it in has written; common practice, no source."""
    for name in ("x-spam-flag", "x-spam", "x-spam-status"):
        if re.match(r"(yes|true)\b", marks.heading(name).lower()):
            return Sort.SPAM, f"Your mail server takes it for spam (its heading {name} says so)."
    return None


MESSAGE_ID = re.compile(r"<[^<>\s]+>")


def ids_in(value: str) -> list[str]:
    """The Message-IDs in a heading, in their order. One that is too long to be kept whole is none."""
    return [found for found in MESSAGE_ID.findall(value) if len(found) <= LONGEST_ID]


def answers_to(in_reply_to: Sequence[str], references: Sequence[str]) -> list[str]:
    """What a mail may answer, the likeliest first: In-Reply-To, then References, the newest first.

    RFC 5322, section 3.6.4: the last of References is the parent.
    """
    return list(dict.fromkeys([*in_reply_to, *reversed(references)]))


# “Re” and what mail programs of other languages write for it and for “Fwd”; common practice, no source.
ANSWERED = re.compile(
    r"(?:\s*(?:re|r|aw|antw|antwort|sv|vs|odp|rif|fwd?|wg|tr|rv|i|doorst|enc|vl|\[[^\]]{1,20}\])(?:\s*\[\d+\])?\s*:"
    r"|\s*\[(?:external|extern|spam\??)\])\s*",
    re.IGNORECASE,
)


def bare_subject(subject: str) -> str:
    """The subject without what answering and handing on put before it."""
    at = 0
    while found := ANSWERED.match(subject, at):
        at = found.end()
    return " ".join(subject[at:].split())


STOCK = re.compile(r"\(?\bno\.\s?(\d{1,9})\b\)?", re.IGNORECASE)


def stock_in(subject: str) -> int | None:
    """The stock number in a subject that once was ours: the last “no. 1047” in it."""
    found = STOCK.findall(subject)
    return int(found[-1]) if found else None


def key_of(raw: bytes, *, header_id: str, others: Iterable[str]) -> str:
    """What names a message, so that a second copy of it is the same though it came by another way.

    Its Message-ID and what stands below its headings. Without a Message-ID the `others` (who wrote, when, to whom,
    about what) must be the same, and where it says none of these, every byte: two persons may ask in the same words.
    """
    unlike = [header_id] if header_id else list(others)
    body = below_headings(raw) if any(unlike) else as_lines(raw)
    digest = hashlib.sha256()
    for part in unlike:
        digest.update(part.encode("utf-8", "replace") + b"\0")
    digest.update(body)
    return digest.hexdigest()


def below_headings(raw: bytes) -> bytes:
    """What stands below the first empty line; all of it when there is none."""
    lines = as_lines(raw)
    return lines.partition(b"\n\n")[2] or lines


def as_lines(raw: bytes) -> bytes:
    """The bytes with the line ends that a maildir has, whatever way they came."""
    return raw.replace(b"\r\n", b"\n").strip(b"\n")
