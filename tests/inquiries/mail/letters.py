"""Mail as it comes, made by hand: invented people, real forms."""

from email.message import EmailMessage
from email.utils import format_datetime
from typing import Any

from tests.factories import NOON

INES = "Ines Vale <ines@post.example>"
SHOP = "desk@harrowlane.example"


def letter(text: str = "Is it still there?\n", **headings: str) -> EmailMessage:
    """A mail by Ines to the shop; headings by name, with “_” for “-”; an empty one is left out."""
    message = EmailMessage()
    given = {
        "From": INES,
        "To": SHOP,
        "Subject": "A question",
        "Date": format_datetime(NOON),
        "Message-ID": f"<{abs(hash(text)):x}@post.example>",
    } | {name.replace("_", "-"): value for name, value in headings.items()}
    for name, value in given.items():
        if value:
            message[name] = value
    message.set_content(text)
    return message


def raw(text: str = "Is it still there?\n", **headings: Any) -> bytes:
    """The same as bytes."""
    return letter(text, **headings).as_bytes()


def returned(original_id: str, *, action: str = "failed") -> bytes:
    """A report on delivery as RFC 3464 has it."""
    return (
        f"""Return-Path: <>
From: Mail Delivery System <MAILER-DAEMON@mx.example>
To: {SHOP}
Subject: Undelivered Mail Returned to Sender
Message-ID: <report-{action}@mx.example>
Auto-Submitted: auto-replied
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="x"

--x
Content-Type: text/plain

The mail system: your message could not be delivered.

--x
Content-Type: message/delivery-status

Reporting-MTA: dns; mx.example

Final-Recipient: rfc822; ines@post.example
Action: {action}
Status: 5.1.1
Diagnostic-Code: smtp; 550 5.1.1 No such person
    here

--x
Content-Type: message/rfc822

From: {SHOP}
To: ines@post.example
Subject: Re: A question
Message-ID: {original_id}

It is.

--x--
"""
    ).encode()
