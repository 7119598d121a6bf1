"""A whole thread as one mailbox file: mbox, as RFC 4155 describes it.

Theirs are the bytes as received, ours the bytes as sent. Whatever was no mail (form, telephone, visit, letter) is
written as a plain message that says so. A line of a message that begins with “From ”, with any marks > before it,
gets one mark more, so that what was written is had again by taking one away (the quoting known as mboxrd).
"""

import re
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from email import message_from_bytes
from email.policy import default
from time import asctime

from inquiries.mail.composing import ADDRESS, Letter, composed
from inquiries.mail.keeping import message_path
from inquiries.mail.models import ReceivedMail
from inquiries.threads.models import Inquiry, Message
from shop.profile.models import ShopProfile

FROM_LINE = re.compile(rb"^(>*From )", re.MULTILINE)
NOBODY = "MAILER-DAEMON"  # as RFC 4155 has it where no sender is known
HERE, THERE = "shop@noted.invalid", "writer@noted.invalid"


def mailbox(inquiry: Inquiry, shop: ShopProfile) -> Iterator[bytes]:
    """The messages, the first one first, each as it stands in the file."""
    messages = inquiry.messages.select_related("by", "mail").order_by("at", "pk")
    for message in messages.iterator(chunk_size=100):
        raw = written(message, inquiry, shop)
        yield entry(raw, sender_of(raw), message.at)


def entry(raw: bytes, sender: str, at: datetime) -> bytes:
    """One message with its first line, its own lines quoted, and the empty line that ends it."""
    lines = raw.replace(b"\r\n", b"\n")
    ended = lines if lines.endswith(b"\n") else lines + b"\n"
    first = f"From {sender} {asctime(at.astimezone(UTC).timetuple())}\n".encode("ascii")
    return first + FROM_LINE.sub(rb">\1", ended) + b"\n"


def sender_of(raw: bytes) -> str:
    """The address in the message's own From, if it is one that the first line can hold."""
    head = raw.replace(b"\r\n", b"\n").partition(b"\n\n")[0]
    try:
        addresses = message_from_bytes(head, policy=default)["From"].addresses
        sender = str(addresses[0].addr_spec)
    except (AttributeError, IndexError, ValueError, LookupError):
        return NOBODY
    return sender if ADDRESS.match(sender) else NOBODY


def written(message: Message, inquiry: Inquiry, shop: ShopProfile) -> bytes:
    """The message as received, or as sent; or as a note of what was said otherwise."""
    mail: ReceivedMail | None = getattr(message, "mail", None)
    if mail is not None:
        try:
            return message_path(mail.sha256).read_bytes()
        except (OSError, ValueError):
            gone = "The mail as received is no longer kept"
            return _noted(message, inquiry, shop, [*_marks(message, shop), gone], mail)
    if message.wire:
        return _standing(message) + message.wire.encode("utf-8", "replace")
    return _noted(message, inquiry, shop, list(_marks(message, shop)))


def _standing(message: Message) -> bytes:
    """A heading before a mail of ours that has not gone, or may not have."""
    if message.delivery == Message.Delivery.SENT:
        return b""
    return f"X-Shop-Delivery: {message.get_delivery_display()}\r\n".encode("ascii")


def _marks(message: Message, shop: ShopProfile) -> Iterable[str]:
    """What a reader of the file must know of a message that was no mail."""
    how = message.get_channel_display()
    yield f"{how}, {message.at.astimezone(shop.zone):%-d %B %Y, %H:%M}"
    if message.by:
        yield f"{'Written' if message.ours else 'Noted'} by {message.by}"
    if message.channel == Message.Channel.MAIL and message.ours:
        yield "The mail as it went is not kept"


def _noted(
    message: Message, inquiry: Inquiry, shop: ShopProfile, marks: list[str], mail: ReceivedMail | None = None
) -> bytes:
    ours = _usable(shop.email, HERE), shop.name
    theirs = _usable(mail.from_email if mail else inquiry.contact.email, THERE), inquiry.contact.name
    (sender, name), (to, _) = (ours, theirs) if message.ours else (theirs, ours)
    text = f"[{'. '.join(marks)}]\n\n{message.body}"
    said = f"{text}\n\n{message.quoted}" if message.quoted else text
    letter = Letter(
        message_id=_id(message),
        at=message.at.astimezone(shop.zone),
        from_name=name,
        from_email=sender,
        to=to,
        reply_to=sender,
        subject=(mail.subject if mail else "") or inquiry.subject,
        text=_without_surrogates(said),
        in_reply_to=message.in_reply_to,
        references=message.references.split(),
        headers={"X-Noted-From": str(message.channel)},
    )
    return composed(letter).encode("ascii")


def _usable(email: str, otherwise: str) -> str:
    return email if ADDRESS.match(email) else otherwise


def _id(message: Message) -> str:
    usable = re.fullmatch(r"<[!-;=?-~]+>", message.message_id)
    return message.message_id if usable else f"<message-{message.pk}@noted.invalid>"


def _without_surrogates(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8")
