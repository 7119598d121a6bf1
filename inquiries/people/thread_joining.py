"""Open threads of two people on the same matter become one, since one person has one open thread on it."""

from collections import defaultdict
from datetime import datetime
from typing import Any

from inquiries.threads.models import Inquiry, Message
from inquiries.threads.turns import settle


def join_threads(kept: int, gone: int, *, at: datetime) -> list[dict[str, Any]]:
    """Of each matter, give the words of the newer open thread to the older one, and lay the newer one aside.

    What was done is told for the way back. Called within the merge, which holds the people.
    """
    rows = Inquiry.objects.filter(contact__in=[kept, gone], done_at__isnull=True)
    by_matter: dict[Any, list[Inquiry]] = defaultdict(list)
    for inquiry in rows.select_for_update(no_key=True).order_by("opened_at", "pk"):
        by_matter[inquiry.instrument_id or inquiry.matter.casefold()].append(inquiry)
    several = [threads for threads in by_matter.values() if len({one.contact_id for one in threads}) > 1]
    return [_joined(threads[0], newer, at=at) for threads in several for newer in threads[1:]]


def part_threads(joined: list[dict[str, Any]], at: datetime) -> None:
    """Give the words back, and open each thread that the merge laid aside, unless another one is open by now."""
    for told in joined:
        older, newer = (_locked(told[key]) for key in ("into", "from"))
        Message.objects.filter(pk__in=told["messages"], inquiry=older).update(inquiry=newer)
        if newer.done_at is not None and newer.done_at.isoformat() == told["at"] and not _open_like(newer):
            Inquiry.objects.filter(pk=newer.pk).update(done_at=None)
        _take_follow_up_back(older, newer, told)
        settle(older)
        settle(newer)


def _locked(inquiry: int) -> Inquiry:
    return Inquiry.objects.select_for_update(no_key=True).get(pk=inquiry)


def _joined(older: Inquiry, newer: Inquiry, *, at: datetime) -> dict[str, Any]:
    messages = list(newer.messages.order_by("pk").values_list("pk", flat=True))
    Message.objects.filter(pk__in=messages).update(inquiry=older)
    Inquiry.objects.filter(pk=newer.pk).update(done_at=at)
    told = {
        "into": older.pk,
        "from": newer.pk,
        "messages": messages,
        "at": at.isoformat(),
        "follow_up": False,
    }
    if newer.follow_up_on and not older.follow_up_on:
        told["follow_up"] = True
        _follow_up(older.pk, newer)
        _follow_up(newer.pk, Inquiry())
    settle(older)
    settle(newer)
    return told


def _take_follow_up_back(older: Inquiry, newer: Inquiry, told: dict[str, Any]) -> None:
    if told["follow_up"] and older.follow_up_on and not newer.follow_up_on:
        _follow_up(newer.pk, older)
        _follow_up(older.pk, Inquiry())


def _follow_up(inquiry: int, as_of: Inquiry) -> None:
    Inquiry.objects.filter(pk=inquiry).update(
        follow_up_on=as_of.follow_up_on, follow_up_note=as_of.follow_up_note
    )


def _open_like(inquiry: Inquiry) -> bool:
    if inquiry.instrument_id is None:
        about: dict[str, Any] = {"matter__iexact": inquiry.matter, "instrument": None}
    else:
        about = {"instrument": inquiry.instrument_id}
    others = Inquiry.objects.filter(contact=inquiry.contact_id, done_at__isnull=True, **about)
    return others.exclude(pk=inquiry.pk).exists()
