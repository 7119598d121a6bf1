"""What the page of a thread shows of the signs."""

from datetime import datetime
from typing import Any

from catalog.models import Instrument
from inquiries.cautions.rules import signs_in
from inquiries.mail.queries import strangers_in
from inquiries.threads.models import Inquiry
from shop.staff.models import User


def cautions(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """The signs in what the person wrote."""
    theirs = list(inquiry.messages.filter(ours=False, automatic=False).select_related("mail"))
    mail = [one.mail for one in theirs if hasattr(one, "mail")]
    strangers = strangers_in(inquiry, mail)
    others = [one.from_email for one in mail if one.pk in strangers]
    return {"cautions": signs_in([one.body for one in theirs], other_addresses=others)}
