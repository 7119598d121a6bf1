"""Keep the people, and every way to reach them."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from inquiries.people.models import Contact, OtherAddress, OwnedPiece, PostalAddress
from inquiries.people.places import country_name, language_names
from inquiries.people.queries import known_by, stands_for
from inquiries.search.indexing import index_people
from shop.history.actions import changes, record
from shop.refusal import Refused
from shop.signs import readable
from shop.staff.models import User

TAKEN = "Somebody else is known by this e-mail address."


def contact_for(name: str, email: str, telephone: str = "", *, at: datetime) -> Contact:
    """The person who writes from this e-mail address, or a new one. A telephone number fills an empty field only.

    Any of a person's addresses will do. Somebody who was merged into another is that other.
    """
    found = known_by(email) or _added(readable(name) or email, email, telephone, at=at)
    if telephone and not found.telephone:
        found.telephone = telephone
        found.save(update_fields=["telephone"])
    return found


@transaction.atomic
def change_contact(contact: Contact, given: dict[str, Any], *, by: User | None, at: datetime) -> Contact:
    """Keep what is `given` (field name to value) of a person, with a history row for each change.

    An address that they had as another one changes places with the first. Raises Refused when somebody else has it.
    """
    found = _locked(contact.pk)
    before = {name: getattr(found, name) for name in given}
    if str(given.get("email", "")).casefold() != found.email.casefold():
        _change_places(found, str(given.get("email", found.email)))
    for name, value in given.items():
        setattr(found, name, value)
    _keep(found, list(given))
    said, saying = (_in_words(values) for values in (before, given))
    for field, old, new in changes(said, saying, names_of_fields()):
        record(found, "changed", by=by, at=at, field=field, old=old, new=new)
    if {"name", "email"} & given.keys():
        index_people(found.pk)
    return found


@transaction.atomic
def add_email(contact: Contact, email: str, *, by: User | None, at: datetime) -> OtherAddress:
    """They write from one more address; the same one twice is one. Raises Refused when it is somebody else's."""
    found = _locked(contact.pk)
    known = known_by(email)
    if known is not None and known.pk != found.pk:
        raise Refused(
            f"{known} is known by this e-mail address. If the two are one person, merge them.",
            code="e-mail-taken",
        )
    if known is not None and found.email.casefold() == email.casefold():
        raise Refused("This is the address that mail goes to already.", code="e-mail-known")
    added, new = OtherAddress.objects.get_or_create(email__iexact=email, defaults=_other(found, email))
    if new:
        record(found, "has another address", by=by, at=at, field="e-mail", new=email)
    return added


@transaction.atomic
def remove_email(other: OtherAddress, *, by: User | None, at: datetime) -> None:
    """They no longer write from it."""
    if OtherAddress.objects.filter(pk=other.pk).delete()[0]:
        record(other.contact, "address removed", by=by, at=at, field="e-mail", old=other.email)


@transaction.atomic
def write_to(other: OtherAddress, *, by: User | None, at: datetime) -> Contact:
    """Mail goes to this address from now on, and the first one becomes another."""
    return change_contact(other.contact, {"email": other.email}, by=by, at=at)


@transaction.atomic
def keep_place(
    place: PostalAddress, given: Mapping[str, Any], *, by: User | None, at: datetime
) -> PostalAddress:
    """Keep one more place, or mend one; saying what stands already is nothing new."""
    _locked(place.contact_id)
    old = _spoken(place) if place.pk else ""
    for name, value in given.items():
        setattr(place, name, value)
    if old != _spoken(place):
        place.save()
        record(place.contact, "changed", by=by, at=at, field="postal address", old=old, new=_spoken(place))
    return place


@transaction.atomic
def remove_place(place: PostalAddress, *, by: User | None, at: datetime) -> None:
    """Nothing is sent there any more."""
    if PostalAddress.objects.filter(pk=place.pk).delete()[0]:
        record(place.contact, "address removed", by=by, at=at, field="postal address", old=_spoken(place))


@transaction.atomic
def note_owned(contact: Contact, what: str, note: str, *, by: User | None, at: datetime) -> OwnedPiece:
    """They have a piece, as far as we know; said twice, it is noted once."""
    _locked(contact.pk)
    owned, new = OwnedPiece.objects.get_or_create(
        contact=contact, what=what, defaults={"note": note, "noted_at": at}
    )
    if new:
        record(contact, "owns", by=by, at=at, new=what)
    return owned


@transaction.atomic
def remove_owned(owned: OwnedPiece, *, by: User | None, at: datetime) -> None:
    """They have it no longer."""
    if OwnedPiece.objects.filter(pk=owned.pk).delete()[0]:
        record(owned.contact, "owns no longer", by=by, at=at, old=owned.what)


def names_of_fields() -> dict[str, str]:
    """Each field of a person by its name for people."""
    return {field.name: str(field.verbose_name) for field in Contact._meta.concrete_fields}


def _in_words(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as history tells them: choices, languages and countries by name."""
    words: dict[str, Any] = dict(values)
    if "reach_by" in words:
        words["reach_by"] = Contact.ReachBy(words["reach_by"]).label
    if "languages" in words:
        words["languages"] = ", ".join(language_names(words["languages"]))
    if "country" in words:
        words["country"] = country_name(words["country"])
    return words


def _locked(contact: int) -> Contact:
    """The person's row, locked; Refused when the person was erased or is another by now."""
    found = Contact.objects.select_for_update(no_key=True).get(pk=contact)
    if found.erased_at:
        raise Refused("What was known of this person has been erased.", code="erased")
    if found.merged_into_id:
        raise Refused(f"{found} was merged into {stands_for(found)}. Go on there.", code="merged")
    return found


def _change_places(contact: Contact, email: str) -> None:
    """Before the first address becomes `email`: take it from the others, and put the first one there."""
    known = known_by(email)
    if known is not None and known.pk != contact.pk:
        raise Refused(TAKEN, code="e-mail-taken")
    taken = OtherAddress.objects.filter(contact=contact, email__iexact=email) if email else None
    if taken is not None and taken.delete()[0] and contact.email:
        OtherAddress.objects.create(contact=contact, email=contact.email)


def _other(contact: Contact, email: str) -> dict[str, Any]:
    return {"contact": contact, "email": email}


def _spoken(place: PostalAddress) -> str:
    return f"{place.label}: {place.lines}, {place.country}".rstrip(", ")


def _keep(contact: Contact, fields: list[str]) -> None:
    try:
        with transaction.atomic():
            contact.save(update_fields=fields)
    except IntegrityError:
        raise Refused(TAKEN, code="e-mail-taken") from None


def _added(name: str, email: str, telephone: str, *, at: datetime) -> Contact:
    try:
        with transaction.atomic():
            return Contact.objects.create(name=name, email=email, telephone=telephone, created_at=at)
    except IntegrityError:  # somebody added the same address at the same moment
        return Contact.objects.get(email__iexact=email)
