"""Erase what is known of a person, keeping what the books need. Nothing brings it back."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q

from catalog.pictures.prints import whole_path
from inquiries.answering.models import PictureLink
from inquiries.mail.keeping import file_path, message_path
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.people.erasing import ERASED, Traces, in_the_way
from inquiries.people.models import Contact, Merge, NotTheSame, OtherAddress, OwnedPiece, PostalAddress
from inquiries.search.indexing import forget, index_people
from inquiries.threads.models import Inquiry
from inquiries.threads.turns import settle
from inquiries.wants.models import Call
from shop.history.actions import empty, record
from shop.history.models import Entry
from shop.jobs.actions import Finish, task
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def erase(contact: Contact, *, by: User | None, at: datetime) -> None:
    """Erase a person and everybody merged into them, as `erasing.plan` says. Pressed twice, it is done once.

    Raises Refused while something is promised to them or open with them. Files leave the disk by the worker, once
    this is committed.
    """
    people = Contact.objects.select_for_update(no_key=True).order_by("pk")
    contact = people.get(pk=contact.pk)
    if contact.erased_at:
        return
    traces = Traces(contact)
    list(people.filter(pk__in=traces.people))
    if refused := in_the_way(traces):
        raise Refused(" ".join(refused), code="not-now")
    names = _names(traces)
    _empty_history(traces, names)
    _erase_mail(traces, at=at)
    _erase_words(traces, at=at)
    _erase_wants(traces)
    for model in (OtherAddress, PostalAddress, OwnedPiece):
        traces.rows(model).delete()
    NotTheSame.objects.filter(Q(first__in=traces.people) | Q(second__in=traces.people)).delete()
    Merge.objects.filter(Q(kept__in=traces.people) | Q(gone__in=traces.people)).update(moved={})
    _erase_rows(traces, at=at)
    index_people(*traces.people)
    record(contact, "erased", by=by, at=at)
    forget(at=at)


@task
def remove_files(messages: list[str], files: list[str], prints: list[str]) -> Finish:
    """The worker's part: take files off the disk, unless a row names them again. Twice is no harm."""
    for sha256 in messages:
        if not ReceivedMail.objects.filter(sha256=sha256).exists():
            message_path(sha256).unlink(missing_ok=True)
    for sha256 in files:
        if not Attachment.objects.filter(sha256=sha256).exists():
            file_path(sha256).unlink(missing_ok=True)
    for token in prints:
        for file in whole_path(token).parent.glob(f"{token}-*"):
            file.unlink(missing_ok=True)
    return lambda at: None


def _names(traces: Traces) -> set[str]:
    """Every name they have had here, as the history of other rows may say it."""
    named = Contact.objects.filter(pk__in=traces.people).values_list("name", flat=True)
    entries = Entry.objects.filter(about="contact", about_id__in=traces.people, field="name")
    return {*named, *(name for pair in entries.values_list("old", "new") for name in pair)} - {""}


def _empty_history(traces: Traces, names: set[str]) -> None:
    """The history of the person, of their threads without a sale, and where the history of others names them."""
    lost = list(traces.lost_threads.values_list("pk", flat=True))
    every = list(traces.threads.values_list("pk", flat=True))
    holds = list(traces.holds.values_list("pk", flat=True))
    named = Q(old__in=names) | Q(new__in=names)
    pieces = list(traces.threads.exclude(instrument=None).values_list("instrument", flat=True))
    empty(Entry.objects.filter(about="contact", about_id__in=traces.people))
    empty(Entry.objects.filter(about="inquiry", about_id__in=lost))
    empty(Entry.objects.filter(named, about="inquiry", about_id__in=every))
    empty(Entry.objects.filter(named, about="hold", about_id__in=holds))
    empty(Entry.objects.filter(named, about="instrument", about_id__in=pieces))


def _erase_mail(traces: Traces, *, at: datetime) -> None:
    """Text and files go; the row stays with its key alone, so that the same mail is not taken in anew."""
    mails = list(traces.mails.values_list("pk", "sha256"))
    files = list(traces.files.values_list("sha256", "token"))
    keys = [pk for pk, _ in mails]
    Attachment.objects.filter(mail__in=keys).delete()
    ReceivedMail.objects.filter(pk__in=keys).update(
        header_id="",
        sha256="",
        bytes=0,
        why="",
        guess=None,
        guess_why="",
        from_name="",
        from_email="",
        to="",
        subject="Erased",
        body="",
        quoted="",
        html="",
        seen_at=at,
    )
    ReceivedMail.objects.filter(pk__in=keys, place=ReceivedMail.Place.GUESSED).update(
        place=ReceivedMail.Place.ASIDE
    )
    if mails or files:
        remove_files.enqueue(
            at=at,
            messages=sorted({sha256 for _, sha256 in mails}),
            files=sorted({sha256 for sha256, _ in files}),
            prints=[token for _, token in files],
        )


def _erase_words(traces: Traces, *, at: datetime) -> None:
    """Words said in threads without a sale; what waits to be sent is not sent any more."""
    words = {"body": "Erased.", "quoted": "", "wire": "", "trouble": "", "references": "", "in_reply_to": ""}
    traces.messages.filter(delivery__in=["waiting", "stuck", "unsure"]).update(
        delivery="left", next_try_at=None
    )
    traces.messages.update(**words)
    for message in traces.messages.filter(ours=False):
        message.message_id = f"<erased-{message.pk}@{ERASED.split()[0].lower()}.invalid>"
        message.save(update_fields=["message_id"])
    PictureLink.objects.filter(inquiry__in=traces.threads, taken_back_at__isnull=True).update(
        taken_back_at=at
    )
    lost = list(traces.lost_threads)
    traces.threads.update(follow_up_on=None, follow_up_note="")
    traces.threads.filter(done_at__isnull=True).update(done_at=at)
    Inquiry.objects.filter(pk__in=[inquiry.pk for inquiry in lost]).exclude(matter="").update(matter="Erased")
    for inquiry in traces.threads:
        settle(inquiry)
    traces.holds.update(reason="")


def _erase_wants(traces: Traces) -> None:
    Call.objects.filter(want__in=traces.wants).delete()
    traces.wants.delete()


def _erase_rows(traces: Traces, *, at: datetime) -> None:
    """The rows themselves stay, since sales and threads hang from them; they say nothing any more."""
    fields = {
        "name": ERASED,
        "email": "",
        "telephone": "",
        "telephone_e164": "",
        "address": "",
        "country": "",
        "languages": "",
        "reach_by": Contact.ReachBy.ANY,
        "note": "",
        "erased_at": at,
    }
    if not traces.sales.exists():
        fields |= {"resale_certificate": "", "resale_state": "", "resale_until": None}
    Contact.objects.filter(pk__in=traces.people).update(**fields)
