"""A whole thread as PDF: every message in order, with its time, its channel and who said it."""

import json
import re
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from inquiries.threads.models import Inquiry, Message
from inquiries.threads.turn_rules import whose_turn
from shop.profile.models import ShopProfile
from shop.signs import readable
from shop.typesetting import BOX, TEMPLATES, lacking_in, pdf

THREAD = TEMPLATES / "thread.typ"
LONGEST = 100_000  # characters of one message; the rest stands in the mailbox file
LONG_WORD = re.compile(r"\S{40,}")
BREAK = "\u200b"  # where a line may end within a long address


def thread_paper(inquiry: Inquiry, shop: ShopProfile, *, at: datetime) -> bytes:
    """The PDF as of this instant."""
    printed = content(inquiry, shop, at=at)
    if lacking_in(json.dumps(printed, ensure_ascii=False)):
        printed["boxes"] = f"Signs that this paper has no type for stand as {BOX}. The mailbox file has them."
    return pdf(THREAD, json.dumps(printed, ensure_ascii=False))


def content(inquiry: Inquiry, shop: ShopProfile, *, at: datetime) -> dict[str, Any]:
    """All that is printed. Every value is text, and is set as text."""
    rows = inquiry.messages.select_related("by", "mail").prefetch_related("mail__attachments")
    said = [_said(message, inquiry, shop) for message in rows.order_by("at", "pk")]
    today, contact = at.astimezone(shop.zone), inquiry.contact
    turn = whose_turn(done_at=inquiry.done_at, waiting_since=inquiry.waiting_since)
    return {
        "document": plain(f"Letters with {contact.name}"),
        "day": [today.year, today.month, today.day],
        "made": _moment(at, shop),
        "zone": shop.clock,
        "shop": {
            "name": plain(shop.name),
            "lines": [line for line in (*_lines(shop.address), shop.telephone, shop.email) if line],
        },
        "person": plain(contact.name),
        "reached": [plain(line) for line in (contact.email, contact.telephone) if line],
        "about": plain(inquiry.heading),
        "opened": _moment(inquiry.opened_at, shop),
        "turn": turn.word if said or inquiry.done_at else "Nothing asked",
        "many": "1 message" if len(said) == 1 else f"{len(said)} messages",
        "boxes": "",
        "messages": said,
    }


def plain(text: str) -> str:
    """The text without characters that are none, and with places where a very long word may be broken."""
    kept = readable(text).replace("\t", "    ")
    return LONG_WORD.sub(lambda found: BREAK.join(_parts(found.group())), kept)


def _parts(word: str) -> Iterator[str]:
    return (word[place : place + 20] for place in range(0, len(word), 20))


def _said(message: Message, inquiry: Inquiry, shop: ShopProfile) -> dict[str, Any]:
    mail = getattr(message, "mail", None)
    text = message.body[:LONGEST]
    return {
        "who": plain(_who(message, inquiry)),
        "ours": message.ours,
        "how": plain(_how(message)),
        "when": _moment(message.at, shop),
        "subject": plain(mail.subject) if mail else "",
        "paragraphs": [_lines(plain(part)) for part in re.split(r"\n\s*\n", text) if part.strip()],
        "files": [plain(file.name) for file in mail.attachments.all()] if mail else [],
        "left_out": list(_left_out(message)),
    }


def _who(message: Message, inquiry: Inquiry) -> str:
    return str(message.by or "The shop itself") if message.ours else inquiry.contact.name


def _how(message: Message) -> str:
    """The channel, who noted it, and whether a mail of ours has gone."""
    parts = [message.get_channel_display()]
    if message.by and not message.ours:
        parts.append(f"noted by {message.by}")
    if message.automatic:
        parts.append("sent by itself")
    if message.delivery not in {Message.Delivery.NONE, Message.Delivery.SENT}:
        parts.append(message.get_delivery_display().lower())
    return ", ".join(parts)


def _left_out(message: Message) -> Iterator[str]:
    if len(message.body) > LONGEST:
        yield "The rest of this message is left out here."
    if message.quoted:
        yield "What it quotes is left out here."


def _lines(text: str) -> list[str]:
    return [line.rstrip() for line in text.strip("\n").split("\n")]


def _moment(at: datetime, shop: ShopProfile) -> str:
    return f"{at.astimezone(shop.zone):%-d %B %Y, %H:%M}"
