"""Keep the people."""

from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from inquiries.people.models import Contact
from shop.history.actions import changes, record
from shop.refusal import Refused
from shop.staff.models import User


def contact_for(name: str, email: str, telephone: str = "", *, at: datetime) -> Contact:
    """The contact with this e-mail address, or a new one. A telephone number fills an empty field only."""
    found = Contact.objects.filter(email__iexact=email).first() if email else None
    if found is None:
        found = _added(name, email, telephone, at=at)
    if telephone and not found.telephone:
        Contact.objects.filter(pk=found.pk, telephone="").update(telephone=telephone)
    return found


@transaction.atomic
def change_contact(contact: Contact, given: dict[str, Any], *, by: User | None, at: datetime) -> Contact:
    """Keep what is `given` (field name to value) of a person, with a history row for each change.

    Raises Refused when somebody else has the e-mail address.
    """
    found = Contact.objects.select_for_update().get(pk=contact.pk)
    before = {name: getattr(found, name) for name in given}
    for name, value in given.items():
        setattr(found, name, value)
    _keep(found, list(given))
    for field, old, new in changes(before, given, names_of_fields()):
        record(found, "changed", by=by, at=at, field=field, old=old, new=new)
    return found


def names_of_fields() -> dict[str, str]:
    """Each field of a person by its name for people."""
    return {field.name: str(field.verbose_name) for field in Contact._meta.concrete_fields}


def _keep(contact: Contact, fields: list[str]) -> None:
    try:
        with transaction.atomic():
            contact.save(update_fields=fields)
    except IntegrityError:
        raise Refused("Somebody else is known by this e-mail address.", code="e-mail-taken") from None


def _added(name: str, email: str, telephone: str, *, at: datetime) -> Contact:
    try:
        with transaction.atomic():
            return Contact.objects.create(name=name, email=email, telephone=telephone, created_at=at)
    except IntegrityError:  # somebody added the same address at the same moment
        return Contact.objects.get(email__iexact=email)
