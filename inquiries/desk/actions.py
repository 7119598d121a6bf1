"""Deeds of the desk that take two rooms: a caller is kept as a person, with a thread, and perhaps a hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.models import Instrument
from inquiries.people.actions import contact_for
from inquiries.people.models import Contact, Want
from inquiries.people.queries import called_from
from inquiries.sales.hold_actions import place_hold
from inquiries.sales.hold_models import Hold
from inquiries.sales.promises import Promise
from inquiries.threads.actions import add_message, open_inquiry
from inquiries.threads.models import Inquiry
from inquiries.wants.actions import take_down
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.models import User


@dataclass(frozen=True)
class Caller:
    """Who calls, and how to reach them (one of the two, or both)."""

    name: str
    email: str = ""
    telephone: str = ""


@transaction.atomic
def inquiry_of_caller(
    instrument: Instrument | None, caller: Caller, *, by: User | None, at: datetime, matter: str = ""
) -> Inquiry:
    """The open thread of a caller on an instrument or another matter. The same caller twice is one of each."""
    # Without an address nothing in the database keeps a person from being added twice: the lock does.
    lock = Instrument.objects.filter(pk=instrument.pk) if instrument else ShopProfile.objects.filter(pk=1)
    lock.select_for_update(no_key=True).first()
    return open_inquiry(_contact(caller, at=at), instrument, matter=matter, by=by, at=at)


def _contact(caller: Caller, *, at: datetime) -> Contact:
    known = None
    if not caller.email:
        known = called_from(caller.name, caller.telephone, home=the_shop().country)
    return known or contact_for(caller.name, caller.email, caller.telephone, at=at)


@transaction.atomic
def want_of_caller(
    caller: Caller, sought: str, stated: Mapping[str, Any], *, by: User | None, at: datetime
) -> Want:
    """Keep what a caller seeks, under the person they are or a new one."""
    ShopProfile.objects.filter(pk=1).select_for_update().first()
    return take_down(_contact(caller, at=at), sought, stated, by=by, at=at)


@transaction.atomic
def note_call(
    instrument: Instrument | None,
    matter: str,
    caller: Caller,
    text: str,
    *,
    channel: str,
    entry: str,
    by: User | None,
    at: datetime,
) -> Inquiry:
    """Keep a question that came in by telephone, letter or in the shop; a form sent twice is one question."""
    inquiry = inquiry_of_caller(instrument, caller, matter=matter, by=by, at=at)
    add_message(inquiry, text, ours=False, channel=channel, by=by, at=at, entry=entry)
    return inquiry


@transaction.atomic
def hold_for_caller(
    instrument: Instrument, caller: Caller, promise: Promise, *, by: User | None, at: datetime
) -> Hold:
    """Place a hold for somebody who has not asked in writing; Refused as `place_hold` is."""
    inquiry = inquiry_of_caller(instrument, caller, by=by, at=at)
    return place_hold(
        instrument, inquiry, by=by, at=at, hours=promise.hours, balance_hours=promise.balance_hours
    )
