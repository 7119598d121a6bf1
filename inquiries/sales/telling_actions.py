"""Tell the person of a hold, by a letter that goes out or in another way that is noted: the notice stands for good."""

from datetime import datetime

from django.db import transaction

from catalog.models import Instrument
from inquiries.sales.hold_letters import sentences
from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.prospects import standing_of
from inquiries.sales.telling import may_be_told, span_said
from inquiries.threads.actions import add_message, answer
from inquiries.threads.models import Message
from inquiries.threads.sending import new_message_id
from shop.history.actions import record
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

What = HoldNotice.What


@transaction.atomic
def write_to(
    hold: Hold,
    what: str,
    text: str,
    *,
    span: str,
    entry: str,
    by: User | None,
    at: datetime,
    as_it_stands: bool = False,
) -> HoldNotice:
    """Send a letter to the person of a hold, and keep that they were told. A form sent twice is one letter.

    `span` is the span that the letter was drafted with. Raises Refused when the hold has another by now, and Stopped
    as `post` does.
    """
    if before := _already(hold, entry):
        return before
    kept = _checked(hold, what, span=span, at=at)
    message = answer(hold.inquiry, text, by=by, at=at, entry=entry, as_it_stands=as_it_stands)
    return _notice(kept, what, message, by=by, at=at)


@transaction.atomic
def note_told(
    hold: Hold, what: str, *, channel: str, note: str, span: str, entry: str, by: User | None, at: datetime
) -> HoldNotice:
    """Keep that they were told by telephone, on a visit, by letter; it stands in the thread as well."""
    if before := _already(hold, entry):
        return before
    kept = _checked(hold, what, span=span, at=at)
    place = standing_of(kept.instrument, at=at).place_of(kept)
    text = note or sentences(kept, What(what), the_shop().zone, place=place)
    message = add_message(hold.inquiry, text, ours=True, channel=channel, by=by, at=at, entry=entry)
    return _notice(kept, what, message, by=by, at=at)


def _already(hold: Hold, entry: str) -> HoldNotice | None:
    """The notice of an earlier press. The instrument's row is the lock, as for everything promised of it."""
    Instrument.objects.select_for_update().get(pk=hold.instrument_id)
    return HoldNotice.objects.filter(hold=hold, message__message_id=new_message_id(entry)).first()


def _checked(hold: Hold, what: str, *, span: str, at: datetime) -> Hold:
    """The hold read anew behind the lock, of which `what` is true, and which has still this span."""
    kept = Hold.objects.select_related("contact", "instrument").get(pk=hold.pk)
    if what not in may_be_told(kept, at=at):
        raise Refused("This is not so, or not so any more. The page shows how it stands.", code="not-so")
    if span != span_said(kept):
        raise Refused(
            "The hold has changed while you wrote, and its times are others now. "
            "The page shows them: mend what you wrote, and press again.",
            code="changed",
        )
    return kept


def _notice(hold: Hold, what: str, message: Message, *, by: User | None, at: datetime) -> HoldNotice:
    notice = HoldNotice.objects.create(
        hold=hold,
        what=what,
        channel=message.channel,
        message=message,
        starts_at=hold.starts_at,
        until=hold.until,
        by=by,
        at=at,
    )
    how = message.get_channel_display().lower()
    record(hold, "told", by=by, at=at, new=f"{notice.get_what_display()} ({how})")
    return notice
