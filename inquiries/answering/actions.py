"""Keep phrases; give full-size pictures to one person for a while, and take them back."""

import base64
import hashlib
import hmac
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F

from catalog.models import Photograph
from catalog.pictures.tasks import print_whole
from inquiries.answering.models import PictureLink, SavedPhrase
from inquiries.answering.phrases import unknown_field
from inquiries.threads.models import Inquiry
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User

USUAL_DAYS = 7
MOST_DAYS = 90


@transaction.atomic
def keep_phrase(
    phrase: SavedPhrase | None, title: str, text: str, *, by: User | None, at: datetime
) -> SavedPhrase:
    """Keep a phrase, a new one when `phrase` is None. Refused for an unknown field, and for a name that is taken."""
    if unknown := unknown_field(text):
        raise Refused(unknown.message, code="unknown-field")
    row = SavedPhrase.objects.select_for_update().get(pk=phrase.pk) if phrase else SavedPhrase()
    before, new = row.text, row._state.adding
    if not new and (row.title, row.text) == (title, text):
        return row
    row.title, row.text, row.by, row.changed_at = title, text, by, at
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        raise Refused(f"There is a phrase called “{title}” already.", code="name-taken") from None
    record(row, "written" if new else "changed", by=by, at=at, field=title, old=before, new=text)
    return row


@transaction.atomic
def remove_phrase(phrase: SavedPhrase, *, by: User | None, at: datetime) -> None:
    """Use a phrase no more; its words stay in the history."""
    row = SavedPhrase.objects.select_for_update().filter(pk=phrase.pk).first()
    if row is not None:
        record(row, "removed", by=by, at=at, field=row.title, old=row.text)
        row.delete()


@transaction.atomic
def make_link(
    inquiry: Inquiry,
    photographs: Sequence[Photograph],
    days: int,
    *,
    entry: str,
    by: User | None,
    at: datetime,
) -> str:
    """Give these photographs of the thread's piece to its person for `days`; the token of their address.

    The token follows from the press (`entry`) and the shop's secret key, so that the same press again gives the same
    link, and neither is kept: of the token the database has the hash.
    """
    token = _token(entry)
    Inquiry.objects.select_for_update(no_key=True).get(pk=inquiry.pk)
    if PictureLink.objects.filter(token_hash=hashed(token)).exists():
        return token
    if inquiry.instrument is None:
        raise Refused("This thread is about no piece, so there are no pictures to give.", code="no-piece")
    _refuse_what_cannot_be_given(inquiry, photographs, days)
    link = PictureLink.objects.create(
        inquiry=inquiry,
        instrument=inquiry.instrument,
        token_hash=hashed(token),
        made_at=at,
        until=at + timedelta(days=days),
        by=by,
    )
    link.photographs.set(photographs)
    for photograph in photographs:
        print_whole.enqueue(at=at, key=f"whole-{link.pk}-{photograph.pk}", photograph=photograph.pk)
    record(inquiry, "gave pictures", by=by, at=at, new=f"{len(photographs)}, for {days} days")
    return token


def _refuse_what_cannot_be_given(inquiry: Inquiry, photographs: Sequence[Photograph], days: int) -> None:
    if not photographs:
        raise Refused("Choose at least one photograph.", code="no-pictures")
    if not 1 <= days <= MOST_DAYS:
        raise Refused(f"A link is good for 1 to {MOST_DAYS} days.", code="days")
    if any(one.instrument_id != inquiry.instrument_id or one.state != one.State.READY for one in photographs):
        raise Refused("Only photographs of this piece that are ready can be given.", code="other-pictures")


@transaction.atomic
def take_back(link: PictureLink, *, by: User | None, at: datetime) -> None:
    """The address leads nowhere from now on."""
    if PictureLink.objects.filter(pk=link.pk, taken_back_at__isnull=True).update(taken_back_at=at):
        record(link.inquiry, "took pictures back", by=by, at=at)


def open_link(token: str, *, at: datetime) -> PictureLink | None:
    """The link with this token while it is good; None for every other, whatever the reason."""
    found = PictureLink.objects.filter(token_hash=hashed(token), until__gt=at, taken_back_at__isnull=True)
    return found.select_related("instrument").first()


def note_opened(link: PictureLink) -> None:
    """The page was opened once more."""
    PictureLink.objects.filter(pk=link.pk).update(opened=F("opened") + 1)


def hashed(token: str) -> str:
    """What the database keeps of a token; it is random and long, so a plain hash is not to be turned round."""
    return hashlib.sha256(token.encode()).hexdigest()


def _token(entry: str) -> str:
    mark = hmac.new(settings.SECRET_KEY.encode(), b"picture-link\n" + entry.encode(), hashlib.sha256)
    return base64.urlsafe_b64encode(mark.digest()[:24]).decode()
