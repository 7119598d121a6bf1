"""The deeds on mail that comes in: keep it, sort it, join it to its thread, or lay it by.

Nothing here answers anybody. A mail that comes in never opens a thread by itself: somebody at the desk does.
"""

import uuid
from datetime import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import DataError, IntegrityError, transaction

from catalog.models import Instrument
from inquiries.mail.file_types import PICTURES, clean_name, real_type, trouble_with
from inquiries.mail.keeping import keep_file, keep_message, message_path
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.mail.queries import guess_for, is_ours, message_reported, thread_answered
from inquiries.mail.reading import File, Reading, read
from inquiries.mail.rules import key_of, sorted_as
from inquiries.mail.tasks import prepare_picture
from inquiries.people.actions import contact_for
from inquiries.threads.actions import open_inquiry
from inquiries.threads.models import Inquiry, Message
from inquiries.threads.turn_actions import open_for_their_word
from inquiries.threads.turns import settle
from shop.history.actions import record
from shop.keeping import MEGABYTE, Kept
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Sort, Place, Delivery = ReceivedMail.Sort, ReceivedMail.Place, Message.Delivery
NO_FORM = "Its form could not be kept in the usual way. The whole message is here as received."
Files = list[tuple[File, Kept]]


def take_in(raw: bytes, *, at: datetime, left_behind: int = 0) -> ReceivedMail:
    """Keep a message: its bytes on disk first, then what is understood of it, in one transaction.

    The same message again is the row that is there. When this returns, it may be marked as read where it came from.
    `left_behind` is the size of a message that is too large to be fetched: then `raw` are its headings only. Raises
    OSError when the disk takes no more, and DatabaseError; nothing is marked then, and the next round begins anew.
    """
    reading = read(raw)
    key = key_of(raw, header_id=reading.header_id, others=_unlike(reading))
    if known := ReceivedMail.objects.filter(key=key).first():
        return known
    kept = keep_message(raw)
    files = [(file, keep_file(file.data)) for file in reading.files]
    bare = Reading(header_id=reading.header_id[:255], trouble=NO_FORM)
    for understood, with_files in ((reading, files), (bare, [])):
        try:
            return _enter(understood, key, kept, with_files, left_behind, at=at)
        except IntegrityError:  # another process took the same message in at this moment
            if known := ReceivedMail.objects.filter(key=key).first():
                return known
            raise
        except (DataError, ValueError):  # something in it that the database does not hold
            continue
    raise ValueError("a message could not be entered in any form")


def _unlike(reading: Reading) -> list[str]:
    """What tells messages without a Message-ID apart."""
    if not reading.date:
        return []
    return [reading.date, reading.from_email, reading.subject, *reading.to]


@transaction.atomic
def _enter(
    reading: Reading, key: str, kept: Kept, files: Files, left_behind: int, *, at: datetime
) -> ReceivedMail:
    sort, why = _sorted(reading, left_behind)
    mail = ReceivedMail.objects.create(
        key=key,
        header_id=reading.header_id,
        sha256=kept.sha256,
        bytes=left_behind or kept.bytes,
        sort=sort,
        why=why[:300],
        place=Place.ASIDE,
        from_name=reading.from_name,
        from_email=reading.from_email,
        to=", ".join(reading.to),
        subject=reading.subject,
        body=reading.body,
        quoted=reading.quoted,
        html=reading.html,
        written_at=reading.written_at,
        received_at=at,
    )
    for position, (file, kept_file) in enumerate(files):
        _attach(mail, position, file, kept_file, at=at)
    _place(mail, reading, at=at)
    return mail


def _sorted(reading: Reading, left_behind: int) -> tuple[str, str]:
    if left_behind:
        most = settings.MAX_MAIL_BYTES // MEGABYTE
        return Sort.UNREADABLE, (
            f"It has {left_behind / MEGABYTE:.0f} MB, more than the {most} that are taken in. "
            "It stays in the mailbox, unread: look at it there."
        )
    if is_ours(reading.header_id):
        return Sort.OWN, "It is a mail of ours that came back to this mailbox as a copy."
    sort, why = sorted_as(reading.marks, own=the_shop().email)
    return str(sort), why or reading.trouble


def _attach(mail: ReceivedMail, position: int, file: File, kept: Kept, *, at: datetime) -> None:
    real = real_type(file.data[:2000])
    picture = real in PICTURES and kept.bytes <= settings.MAX_PICTURE_BYTES
    attachment = Attachment.objects.create(
        mail=mail,
        position=position,
        name=clean_name(file.name, position + 1),
        declared_type=file.declared_type,
        real_type=real,
        sha256=kept.sha256,
        bytes=kept.bytes,
        trouble=(trouble_with(file.name, file.declared_type, real) or file.trouble)[:300],
        prints=Attachment.Prints.WAITING if picture else Attachment.Prints.NONE,
        token=uuid.uuid4().hex,
    )
    if picture:
        prepare_picture.enqueue(at=at, key=f"mail-picture-{attachment.pk}", attachment=attachment.pk)


def _place(mail: ReceivedMail, reading: Reading, *, at: datetime) -> None:
    """Join it where that is certain, offer a guess where it is not, else leave it laid by."""
    if mail.sort == Sort.OWN:
        return
    reported = message_reported(reading) if mail.sort == Sort.BOUNCE else None
    if reported is not None:
        _came_back(reported, reading)
        _join(mail, reported.inquiry, reading, automatic=True, at=at)
        return
    found = thread_answered(reading)
    if found is not None and mail.sort in {Sort.PERSON, Sort.UNREADABLE}:
        _join(mail, found, reading, automatic=False, at=at)
    elif found is not None and mail.sort == Sort.AUTOMATIC:
        _join(mail, found, reading, automatic=True, at=at)
    elif found is not None:
        _guess(
            mail, found, "It answers this thread, but its headings say that no person wrote it to you alone."
        )
    elif mail.sort == Sort.PERSON:
        _guess(mail, *guess_for(mail.from_email, mail.subject))


def _guess(mail: ReceivedMail, inquiry: Inquiry | None, why: str) -> None:
    if inquiry is not None:
        mail.place, mail.guess, mail.guess_why = Place.GUESSED, inquiry, why[:300]
        mail.save(update_fields=["place", "guess", "guess_why"])


def _came_back(message: Message, reading: Reading) -> None:
    """Show with a mail of ours that it did not arrive, or not yet."""
    report = reading.report
    said = f"{report.recipient}: {report.said}".strip(": ") if report else ""
    late, fine = report is not None and report.action == "delayed", {"delivered", "relayed", "expanded"}
    if report is not None and report.action in fine:
        return
    words = "It has not arrived yet; the mail server goes on trying" if late else "It came back undelivered"
    trouble = f"{words}. {said}".strip()[:300]
    gone = Message.objects.filter(
        pk=message.pk, delivery__in=[Delivery.SENT, Delivery.SENDING, Delivery.UNSURE]
    )
    gone.update(trouble=trouble) if late else gone.update(trouble=trouble, delivery=Delivery.STUCK)


def _join(
    mail: ReceivedMail,
    inquiry: Inquiry,
    reading: Reading,
    *,
    automatic: bool,
    at: datetime,
    by: User | None = None,
) -> Message:
    """Make the mail a message of the thread. What a machine sent leaves the thread as it is, open or laid aside."""
    thread = (
        Inquiry.objects.select_for_update(of=("self",), no_key=True)
        .select_related("contact")
        .get(pk=inquiry.pk)
    )
    if not automatic:
        thread = open_for_their_word(thread, by=by, at=at)
    message = Message.objects.create(
        inquiry=thread,
        ours=False,
        automatic=automatic,
        channel=Message.Channel.MAIL,
        body=mail.body,
        quoted=mail.quoted,
        at=_heard_at(thread, mail, at=at),
        message_id=_free_id(mail),
        in_reply_to=next(iter(reading.in_reply_to), ""),
        references=" ".join(reading.references[-20:]),
    )
    mail.place, mail.message, mail.guess, mail.guess_why = Place.JOINED, message, None, ""
    mail.save(update_fields=["place", "message", "guess", "guess_why"])
    settle(thread)
    return message


def _heard_at(thread: Inquiry, mail: ReceivedMail, *, at: datetime) -> datetime:
    """When it came; but where we have spoken since without having it, now: or it would count as answered."""
    since = Message.objects.filter(inquiry=thread, ours=True, automatic=False, at__gte=mail.received_at)
    return at if since.exists() else mail.received_at


def _free_id(mail: ReceivedMail) -> str:
    """Its own Message-ID, or a made one where it has none or another message has the same."""
    taken = Message.objects.filter(message_id=mail.header_id).exists()
    return mail.header_id if mail.header_id and not taken else f"<{mail.key}@received.invalid>"


@transaction.atomic
def join(mail: ReceivedMail, inquiry: Inquiry, *, by: User | None, at: datetime) -> Message:
    """Lay a mail in a thread, because somebody says that it belongs there. Pressed twice, it is there once.

    Raises Refused when it is in another by now.
    """
    waiting = _waiting(mail)
    if waiting.message is not None:
        if waiting.message.inquiry_id == inquiry.pk:
            return waiting.message
        raise Refused("This mail is in another thread by now.", code="in-a-thread")
    automatic = waiting.sort in {Sort.BOUNCE, Sort.AUTOMATIC}
    message = _join(waiting, inquiry, reading_of(waiting), automatic=automatic, by=by, at=at)
    record(message.inquiry, "mail joined", by=by, at=at, new=_told(waiting))
    mail.refresh_from_db()
    return message


@transaction.atomic
def open_from(
    mail: ReceivedMail,
    *,
    name: str,
    instrument: Instrument | None = None,
    matter: str = "",
    by: User | None,
    at: datetime,
) -> Message:
    """Open a thread with a mail, about a piece or another matter; an open one on it is gone on with."""
    waiting = _waiting(mail)
    if waiting.message is not None:
        return waiting.message
    contact = contact_for(name, _usable(waiting.from_email), at=at)
    inquiry = open_inquiry(contact, instrument, matter=matter, by=by, at=at)
    return join(mail, inquiry, by=by, at=at)


def _usable(email: str) -> str:
    """The address, if it is one that can be written to."""
    try:
        validate_email(email)
    except ValidationError:
        return ""
    return email


@transaction.atomic
def lay_by(mail: ReceivedMail, *, by: User | None, at: datetime) -> None:
    """It belongs to no thread, and nobody needs to look at it again. Raises Refused when it is in one."""
    waiting = _waiting(mail)
    if waiting.message is not None:
        raise Refused("This mail is in a thread by now.", code="in-a-thread")
    waiting.place, waiting.seen_at, waiting.guess, waiting.guess_why = Place.ASIDE, at, None, ""
    waiting.save(update_fields=["place", "seen_at", "guess", "guess_why"])
    record(waiting, "laid by", by=by, at=at, new=_told(waiting))


@transaction.atomic
def bring_back(mail: ReceivedMail, *, by: User, at: datetime) -> None:
    """It is from a person after all: it waits to be sorted again, with a guess where there is one."""
    waiting = _waiting(mail)
    if waiting.message is not None:
        raise Refused("This mail is in a thread by now.", code="in-a-thread")
    before = waiting.get_sort_display()
    waiting.sort, waiting.seen_at = Sort.PERSON, None
    waiting.why = f"{by} brought it back. Before: {before}. {waiting.why}"[:300]
    waiting.save(update_fields=["sort", "seen_at", "why"])
    reading = reading_of(waiting)
    if found := thread_answered(reading):
        _guess(waiting, found, "It answers this thread.")
    else:
        _guess(waiting, *guess_for(waiting.from_email, waiting.subject))
    record(waiting, "brought back", by=by, at=at, old=before, new=_told(waiting))


def _waiting(mail: ReceivedMail) -> ReceivedMail:
    """The row as it is now, held until the deed is done."""
    ReceivedMail.objects.select_for_update().get(pk=mail.pk)
    return ReceivedMail.objects.select_related("message__inquiry").get(pk=mail.pk)


def reading_of(mail: ReceivedMail) -> Reading:
    """The mail read again from its kept bytes; without them, what the row says."""
    try:
        return read(message_path(mail.sha256).read_bytes())
    except OSError:
        return Reading(header_id=mail.header_id, from_email=mail.from_email, subject=mail.subject)


def _told(mail: ReceivedMail) -> str:
    return f"{mail.from_email or mail.from_name}: {mail.subject}".strip(": ")
