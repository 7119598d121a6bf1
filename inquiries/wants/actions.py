"""Remember what a person seeks, have it confirmed, and lay it aside when it is done."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from inquiries.people.actions import contact_for
from inquiries.people.models import Contact, Want
from inquiries.threads.actions import post
from inquiries.threads.models import Inquiry, Message
from inquiries.threads.rules import takes_automatic_mail
from inquiries.wants.letters import CONFIRM_MATTER, to_confirm
from inquiries.wants.links import Links, unsubscribe_headers
from shop.history.actions import empty, record
from shop.history.queries import history_of
from shop.jobs.rounds import every
from shop.limits.actions import within_limit
from shop.profile.queries import the_shop
from shop.staff.models import User

DAYS_TO_CONFIRM = 30
MOST_LETTERS, A_DAY = 3, timedelta(days=1)  # asking one address to confirm
NOTHING: Mapping[str, Any] = {}


@transaction.atomic
def remember_want(
    *,
    name: str,
    email: str,
    sought: str,
    links: Links,
    at: datetime,
    narrowing: str = "",
    stated: Mapping[str, Any] = NOTHING,
) -> Want:
    """Keep a wish from the public form, under the contact with this address or a new one, and ask to confirm it.

    The same wish of the same person, still open, is kept once; it counts from when it is confirmed.
    """
    contact = contact_for(name, email, at=at)
    Contact.objects.select_for_update(no_key=True).get(pk=contact.pk)  # two presses at once queue up here
    kept = {"narrowing": narrowing, "asked_at": at, "source": Want.Source.FORM}
    want, new = Want.objects.get_or_create(**_open_wish(contact, sought, stated), defaults=kept)
    if new:
        record(contact, "seeks", by=None, at=at, new=sought)
    if want.source == Want.Source.FORM and want.confirmed_at is None:
        _ask_to_confirm(want, links, at=at)
    return want


def _open_wish(contact: Contact, sought: str, stated: Mapping[str, Any]) -> dict[str, Any]:
    """What tells an open wish from another."""
    return {"contact": contact, "sought": sought, "done_at": None, "unsubscribed_at": None, **stated}


def _ask_to_confirm(want: Want, links: Links, *, at: datetime) -> None:
    """By mail, in a thread that is laid aside from the start: nothing in it is ours to answer."""
    contact, shop = want.contact, the_shop()
    if not takes_automatic_mail(contact.email, own=shop.email):
        return
    if not within_limit("want-mail", contact.email.casefold(), most=MOST_LETTERS, every=A_DAY, at=at):
        return
    inquiry = Inquiry.objects.filter(contact=contact, instrument=None, matter=CONFIRM_MATTER).first()
    if inquiry is None:
        inquiry = Inquiry.objects.create(
            contact=contact, matter=CONFIRM_MATTER, opened_at=at, last_at=at, done_at=at
        )
    unsubscribe = links.unsubscribe(want.pk)
    text = to_confirm(shop, links.confirm(want.pk), unsubscribe, DAYS_TO_CONFIRM)
    post(inquiry, text, automatic=True, headers=unsubscribe_headers(unsubscribe), by=None, at=at)


@transaction.atomic
def confirm_want(want: Want, *, at: datetime) -> None:
    """The person at the address says that the wish is theirs; pressed twice, it is confirmed once."""
    if Want.objects.filter(pk=want.pk, confirmed_at__isnull=True).update(confirmed_at=at):
        record(want.contact, "confirmed the wish", by=None, at=at, new=want.sought)


@transaction.atomic
def unsubscribe(want: Want, *, at: datetime) -> None:
    """No mail about this wish from now on; pressed twice, it is done once."""
    if Want.objects.filter(pk=want.pk, unsubscribed_at__isnull=True).update(unsubscribed_at=at):
        record(want.contact, "wishes no more mail", by=None, at=at, new=want.sought)


@transaction.atomic
def take_down(
    contact: Contact, sought: str, stated: Mapping[str, Any], *, by: User | None, at: datetime
) -> Want:
    """Keep a wish that somebody told us; it counts at once. The same one, still open, is kept once."""
    Contact.objects.select_for_update(no_key=True).get(pk=contact.pk)
    kept = {"asked_at": at, "source": Want.Source.DESK}
    want, new = Want.objects.get_or_create(**_open_wish(contact, sought, stated), defaults=kept)
    if new:
        record(contact, "seeks", by=by, at=at, new=sought)
    elif want.source == Want.Source.FORM and want.confirmed_at is None:
        Want.objects.filter(pk=want.pk).update(source=Want.Source.DESK)
        record(contact, "confirmed the wish", by=by, at=at, new=sought)
    return want


@transaction.atomic
def lay_want_aside(want: Want, *, by: User | None, at: datetime) -> None:
    """It was found, or is sought no longer; pressed twice, it is done once."""
    if Want.objects.filter(pk=want.pk, done_at__isnull=True).update(done_at=at):
        record(want.contact, "seeks no longer", by=by, at=at, old=want.sought)


@every(timedelta(hours=6))
def clear_unconfirmed(at: datetime) -> int:
    """Remove wishes that nobody confirmed in time, and with them a person who is known by nothing else."""
    stale = Want.objects.filter(
        source=Want.Source.FORM,
        confirmed_at__isnull=True,
        done_at__isnull=True,
        asked_at__lte=at - timedelta(days=DAYS_TO_CONFIRM),
    )
    cleared = 0
    for want in stale.select_related("contact"):
        cleared += _cleared(want)
    return cleared


@transaction.atomic
def _cleared(want: Want) -> bool:
    gone, _rows = Want.objects.filter(pk=want.pk, confirmed_at__isnull=True).delete()
    if not gone:
        return False
    empty(history_of(want.contact).filter(verb="seeks", new=want.sought))
    if not want.contact.wants.exists():
        _forget_who_only_wished(want.contact)
    return True


def _forget_who_only_wished(contact: Contact) -> None:
    """Nobody but the mail that asked to confirm speaks of them; whoever is known otherwise stays."""
    threads = Inquiry.objects.filter(contact=contact, matter=CONFIRM_MATTER)
    theirs = Message.objects.filter(inquiry__in=threads).exclude(ours=True, automatic=True)
    others = Inquiry.objects.filter(contact=contact).exclude(pk__in=threads)
    if theirs.exists() or others.exists():
        return
    try:
        with transaction.atomic():
            Message.objects.filter(inquiry__in=threads).delete()
            threads.delete()
            contact.delete()
    except ProtectedError:
        return
