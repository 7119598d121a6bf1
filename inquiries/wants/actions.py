"""Remember what a person seeks, and lay it aside when it is done."""

from datetime import datetime

from django.db import transaction

from inquiries.people.actions import contact_for
from inquiries.people.models import Contact, Want
from shop.history.actions import record
from shop.staff.models import User


@transaction.atomic
def remember_want(*, name: str, email: str, sought: str, narrowing: str = "", at: datetime) -> Want:
    """Keep a wish from the public form, under the contact with this address or a new one.

    The same wish of the same person, still open, is kept once.
    """
    contact = contact_for(name, email, at=at)
    Contact.objects.select_for_update().get(pk=contact.pk)  # two presses at once queue up here
    want, new = Want.objects.get_or_create(
        contact=contact, sought=sought, done_at=None, defaults={"narrowing": narrowing, "asked_at": at}
    )
    if new:
        record(contact, "seeks", by=None, at=at, new=sought)
    return want


@transaction.atomic
def lay_want_aside(want: Want, *, by: User | None, at: datetime) -> None:
    """It was found, or is sought no longer; pressed twice, it is done once."""
    if Want.objects.filter(pk=want.pk, done_at__isnull=True).update(done_at=at):
        record(want.contact, "seeks no longer", by=by, at=at, old=want.sought)
