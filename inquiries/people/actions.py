"""Keep the people."""

from datetime import datetime

from django.db import IntegrityError, transaction

from inquiries.people.models import Contact


def contact_for(name: str, email: str, telephone: str = "", *, at: datetime) -> Contact:
    """The contact with this e-mail address, or a new one. A telephone number fills an empty field only."""
    found = Contact.objects.filter(email__iexact=email).first() if email else None
    if found is None:
        found = _added(name, email, telephone, at=at)
    if telephone and not found.telephone:
        Contact.objects.filter(pk=found.pk, telephone="").update(telephone=telephone)
    return found


def _added(name: str, email: str, telephone: str, *, at: datetime) -> Contact:
    try:
        with transaction.atomic():
            return Contact.objects.create(name=name, email=email, telephone=telephone, created_at=at)
    except IntegrityError:  # somebody added the same address at the same moment
        return Contact.objects.get(email__iexact=email)
