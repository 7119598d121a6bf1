"""Two contacts are one person: everything goes to the one that is kept, and can go back.

`Merge.moved` says what was done, for the way back: `rows` by the field that named the gone one, `added` rows by
their model, `fields` of the kept row as [before, after], `gone` fields as they were, `threads` that were joined.
"""

import json
from datetime import date, datetime, timedelta
from typing import Any

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, models, transaction
from django.db.models import Q

from catalog.models import Instrument
from inquiries.people.joining import Known, joined
from inquiries.people.models import Contact, Merge, NotTheSame, OtherAddress, PostalAddress
from inquiries.people.queries import known_by
from inquiries.people.relations import Pointer, pointer, pointers
from inquiries.people.thread_joining import join_threads, part_threads
from inquiries.sales.hold_models import Hold
from inquiries.sales.queries import IN_FORCE
from inquiries.search.indexing import index_people
from shop.history.actions import record
from shop.jobs.rounds import every
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

STRAYS = timedelta(minutes=5)
TRIES = 5
Moved = dict[str, Any]


@transaction.atomic
def merge(kept: Contact, gone: Contact, *, by: User | None, at: datetime) -> Merge:
    """Let everything of `gone` be `kept`'s. Pressed twice, it is done once.

    Raises Refused when both hold the same piece, or one of them was merged elsewhere or erased meanwhile.
    """
    if kept.pk == gone.pk:
        raise Refused("A person cannot be merged with themselves.", code="same-row")
    _lock_pieces(kept, gone)
    people = _locked(kept.pk, gone.pk)
    kept, gone = people[kept.pk], people[gone.pk]
    if gone.merged_into_id == kept.pk:
        return Merge.objects.get(gone=gone, undone_at__isnull=True)
    _check_standing(kept, gone)
    _check_holds(kept, gone)
    moved: Moved = {"rows": {}, "added": {}, "threads": [], "apart": []}
    moved["threads"] = join_threads(kept.pk, gone.pk, at=at)
    _bring_over(kept.pk, gone.pk, moved, at=at)
    _told_apart(kept, gone, moved, at=at)
    _join_rows(kept, gone, moved)
    index_people(kept.pk)
    merged = Merge.objects.create(kept=kept, gone=gone, moved=_plain(moved), at=at, by=by)
    record(kept, "merged with", by=by, at=at, new=gone.name)
    record(gone, "merged into", by=by, at=at, new=kept.name)
    return merged


@transaction.atomic
def undo(merged: Merge, *, by: User | None, at: datetime) -> None:
    """Give back to each what was theirs. What came to the kept one since stays there.

    Raises Refused when one of them was erased or merged further since, or somebody else has the address by now.
    """
    _lock_pieces(merged.kept, merged.gone)
    people = _locked(merged.kept_id, merged.gone_id)
    merged = Merge.objects.select_for_update(no_key=True).get(pk=merged.pk)
    kept, gone = people[merged.kept_id], people[merged.gone_id]
    if merged.undone_at is not None:
        return
    if kept.erased_at or gone.erased_at:
        raise Refused("What was known of this person has been erased, so nothing can go back.", code="erased")
    if kept.merged_into_id:
        raise Refused(
            f"{kept} was merged further, into {kept.merged_into}. Undo that first.", code="merged-further"
        )
    moved: Moved = merged.moved
    _give_back_rows(kept, gone, moved)
    part_threads(moved["threads"], merged.at)
    index_people(kept.pk, gone.pk)
    Merge.objects.filter(pk=merged.pk).update(undone_at=at)
    record(kept, "merge undone", by=by, at=at, old=gone.name)
    record(gone, "merge undone", by=by, at=at, old=kept.name)


@transaction.atomic
def tell_apart(one: Contact, other: Contact, *, by: User | None, at: datetime) -> None:
    """They are two people, and are not suggested again. Said twice, it is said once."""
    first, second = sorted((one, other), key=lambda contact: contact.pk)
    if first.pk == second.pk:
        raise Refused("This is one person already.", code="same-row")
    _, new = NotTheSame.objects.get_or_create(first=first, second=second, defaults={"at": at})
    if new:
        record(first, "is not the same person as", by=by, at=at, new=second.name)
        record(second, "is not the same person as", by=by, at=at, new=first.name)


@every(STRAYS)
def bring_strays(at: datetime) -> int:
    """Bring over what was written to a merged person at the very moment of the merge; how many rows."""
    stray = Q()
    for one in pointers():
        ids = one.model._base_manager.filter(**{f"{one.field}__merged_into__isnull": False})
        stray |= Q(pk__in=ids.order_by().values(one.field))
    people = Contact.objects.filter(stray).values_list("pk", flat=True)
    return sum(_bring_strays(gone, at=at) for gone in list(people))


@transaction.atomic
def _bring_strays(gone: int, *, at: datetime) -> int:
    merged = Merge.objects.select_for_update(no_key=True).filter(gone=gone, undone_at__isnull=True).first()
    if merged is None:
        return 0
    moved: Moved = merged.moved
    moved["threads"] += join_threads(merged.kept_id, gone, at=at)
    many = _bring_over(merged.kept_id, gone, moved, at=at)
    index_people(merged.kept_id)
    Merge.objects.filter(pk=merged.pk).update(moved=_plain(moved))
    return many


def _lock_pieces(kept: Contact, gone: Contact) -> None:
    """The instrument is the lock for everything promised of it; locked before the people, as each deed does."""
    asked = Q(inquiries__contact__in=[kept, gone]) | Q(holds__contact__in=[kept, gone])
    pieces = Instrument.objects.filter(asked).order_by().values("pk")
    list(Instrument.objects.filter(pk__in=pieces).select_for_update(no_key=True).order_by("pk"))


def _locked(*people: int) -> dict[int, Contact]:
    rows = Contact.objects.select_for_update(no_key=True).filter(pk__in=people).order_by("pk")
    return {contact.pk: contact for contact in rows}


def _check_standing(kept: Contact, gone: Contact) -> None:
    for contact in (kept, gone):
        if contact.erased_at:
            raise Refused("What was known of one of them has been erased.", code="erased")
        if contact.merged_into_id:
            raise Refused(
                f"{contact} was merged into {contact.merged_into} meanwhile. Go on from there.", code="merged"
            )


def _check_holds(kept: Contact, gone: Contact) -> None:
    theirs = Hold.objects.filter(contact=kept, state__in=IN_FORCE).order_by().values("instrument")
    both = Hold.objects.filter(contact=gone, state__in=IN_FORCE, instrument__in=theirs)
    if hold := both.select_related("instrument").first():
        raise Refused(
            f"Both have a hold on No. {hold.instrument.stock_id}, and one person has one place in the queue. "
            "Release one of the two holds, then merge.",
            code="both-hold",
        )


def _bring_over(kept: int, gone: int, moved: Moved, *, at: datetime) -> int:
    """Let every row that names the gone one name the kept one, and note which."""
    many = 0
    for one in pointers():
        rows = _pointed(one, kept, gone, moved, at=at)
        if rows:
            moved["rows"].setdefault(one.label, []).extend(rows)
            many += len(rows)
    return many


def _pointed(one: Pointer, kept: int, gone: int, moved: Moved, *, at: datetime) -> list[int]:
    """The rows that went over. A question that came between two steps may have opened a thread: join it, try again."""
    for _ in range(TRIES):
        rows = list(one.rows([gone]).values_list("pk", flat=True))
        try:
            with transaction.atomic():
                one.point(rows, kept)
        except IntegrityError:
            moved["threads"] += join_threads(kept, gone, at=at)
        else:
            return rows
    what = one.model._meta.verbose_name
    raise Refused(
        f"Both have a row of the kind “{what}” that one person can have only once. Remove one of the two, then merge.",
        code="only-once",
    )


def _told_apart(kept: Contact, gone: Contact, moved: Moved, *, at: datetime) -> None:
    """Whoever was told apart from the one is told apart from both; the two themselves are no longer."""
    rows = NotTheSame.objects.filter(Q(first=gone) | Q(second=gone))
    others = {row.second_id if row.first_id == gone.pk else row.first_id: row for row in rows}
    if between := others.pop(kept.pk, None):
        moved["apart"] = [between.at.isoformat()]
        between.delete()
    for other in others:
        first, second = sorted((kept.pk, other))
        row, new = NotTheSame.objects.get_or_create(first_id=first, second_id=second, defaults={"at": at})
        if new:
            _note_added(moved, row)


def _join_rows(kept: Contact, gone: Contact, moved: Moved) -> None:
    """Fill in what the kept row lacks, keep beside it what differs, and free the gone one's address."""
    result = joined(_known(kept), _known(gone), home=the_shop().country)
    moved["gone"] = {"email": gone.email}
    gone.email, gone.merged_into = "", kept
    gone.save(update_fields=["email", "merged_into"])
    moved["fields"] = {name: [getattr(kept, name), value] for name, value in result.fields.items()}
    for name, value in result.fields.items():
        setattr(kept, name, value)
    kept.save(update_fields=[*result.fields, "telephone"])
    if result.email:
        _note_added(moved, OtherAddress.objects.create(contact=kept, email=result.email))
    if result.place:
        lines, country = result.place
        label = f"Address of {gone.name}"[:60]
        place = PostalAddress.objects.create(contact=kept, label=label, lines=lines, country=country)
        _note_added(moved, place)


def _give_back_rows(kept: Contact, gone: Contact, moved: Moved) -> None:
    fields = _way_back(kept, moved)
    email = moved["gone"]["email"]
    if email and kept.email.casefold() == email.casefold() and "email" not in fields:
        fields["email"] = moved["fields"].get("email", [""])[0]
    _free(email, kept)
    for label, rows in moved["added"].items():
        apps.get_model(label)._base_manager.filter(pk__in=rows).delete()
    for name, value in fields.items():
        setattr(kept, name, value)
    kept.save(update_fields=[*fields, "telephone"])
    gone.email, gone.merged_into = email, None
    gone.save(update_fields=["email", "merged_into"])
    for label, rows in moved["rows"].items():
        still = pointer(label).rows([kept.pk]).filter(pk__in=rows)
        pointer(label).point(still.values_list("pk", flat=True), gone.pk)
    for instant in moved["apart"]:
        first, second = sorted((kept.pk, gone.pk))
        NotTheSame.objects.get_or_create(
            first_id=first, second_id=second, defaults={"at": datetime.fromisoformat(instant)}
        )


def _free(email: str, kept: Contact) -> None:
    """The gone one's address is theirs again: it is no longer another one of the kept, and nobody else's."""
    known = known_by(email)
    if known is not None and known.pk != kept.pk:
        raise Refused(
            f"{known} is known by {email} by now. Take it off their page first, then undo the merge.",
            code="e-mail-taken",
        )
    if email:
        OtherAddress.objects.filter(contact=kept, email__iexact=email).delete()


def _way_back(kept: Contact, moved: Moved) -> dict[str, Any]:
    """The fields as they were, where nobody has changed them since; of the note, what was added is taken out."""
    back: dict[str, Any] = {}
    for name, (before, after) in moved["fields"].items():
        now = getattr(kept, name)
        if name == "note" and now != after:
            back[name] = now.replace(after.removeprefix(before), "", 1)
        elif _as_kept(now) == after:
            back[name] = _as_date(before) if name == "resale_until" else before
    return back


def _note_added(moved: Moved, row: models.Model) -> None:
    moved["added"].setdefault(row._meta.label, []).append(row.pk)


def _known(contact: Contact) -> Known:
    return Known(**{name: getattr(contact, name) for name in Known._fields})


def _as_kept(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def _as_date(value: Any) -> date | None:
    return date.fromisoformat(value) if value else None


def _plain(moved: Moved) -> Moved:
    """As JSON keeps it."""
    plain: Moved = json.loads(json.dumps(moved, cls=DjangoJSONEncoder))
    return plain
