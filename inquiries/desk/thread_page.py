"""The page of one thread: what was said, the reply, and the panels that each room puts beside it.

A room adds a panel with one line in PANELS: a name, a place, and a function that gathers what its template reads.
The template is `templates/desk/inquiries/_<name>.html`. All panels share one context, so what a function returns
carries names of its own. `instrument` is None in a thread about another matter. A view that refuses a form shows the
page again by `thread_page(request, inquiry, offer_form=form)`: what is handed in stands before what was gathered.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from catalog.instruments.availability import annotated, availability_of
from catalog.models import Instrument
from inquiries.cautions.panel import cautions
from inquiries.desk.answering_panel import answering
from inquiries.desk.inquiry_forms import AnswerForm, FollowUpForm, NoteForm
from inquiries.desk.offer_panel import offers_panel
from inquiries.desk.paper_panel import quotations
from inquiries.mail.queries import strangers_in
from inquiries.people.places import language_names
from inquiries.people.telephones import shown
from inquiries.sales.prospects import standing_of
from inquiries.threads.models import Inquiry
from inquiries.threads.turn_rules import Word, first_answer, whose_turn
from shop.history.queries import history_of
from shop.hours.queries import open_week
from shop.hours.rules import answer_in_words, wait_in_words
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest
from shop.staff.models import User

CHANGES = 40

Gather = Callable[[Inquiry, Instrument | None, User, datetime], dict[str, Any]]


class Place(StrEnum):
    """Where on the page a panel stands."""

    ABOVE = "above"  # between the head and what was said
    BELOW = "below"  # under what was said, in the wide column
    BESIDE = "beside"  # in the narrow column


@dataclass(frozen=True)
class Panel:
    """One part of the page."""

    name: str
    place: Place
    gather: Gather

    @property
    def template(self) -> str:
        """What shows it."""
        return f"desk/inquiries/_{self.name}.html"


def said(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """Every message, the first one first; whose turn it is, and for how long; how long our first answer took."""
    rows = inquiry.messages.select_related("by", "mail").prefetch_related("mail__attachments")
    thread, week = list(rows), open_week(the_shop())
    words = [Word(one.at, one.ours, one.automatic, one.needs_no_answer) for one in thread]
    since, first = inquiry.waiting_since, first_answer(words)
    took = answer_in_words(first.asked, first.answered, week) if first and first.answered else ""
    last = next((place for place in reversed(range(len(words))) if words[place].asks), None)
    return {
        "thread": thread,
        "strangers": strangers_in(inquiry, [one.mail for one in thread if hasattr(one, "mail")]),
        "turn": whose_turn(done_at=inquiry.done_at, waiting_since=since),
        "wait": wait_in_words(since, at, week) if since else "",
        "hours_given": week.given,
        "first_answer": took,
        "last_question": thread[last].pk if since and last is not None else None,
    }


def follow_up(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """The day on which it is to be looked at again."""
    known = {"on": inquiry.follow_up_on, "note": inquiry.follow_up_note}
    return {"again": FollowUpForm(initial=known), "today": timezone.localdate(at)}


def done(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """What was done with the thread, the latest first."""
    return {"thread_history": history_of(inquiry)[:CHANGES]}


def replies(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """The empty form of an answer by mail."""
    return {"reply": AnswerForm()}


def notes(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """The empty form of something said otherwise."""
    return {"note": NoteForm()}


def piece(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """What a buyer may have of the instrument."""
    return {"availability": availability_of(instrument)} if instrument else {}


def holds(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """Who has the instrument, who waits for it, and what this person has of it."""
    if instrument is None:
        return {}
    standing = standing_of(instrument, at=at)
    return {
        "standing": standing,
        "own_hold": standing.of(inquiry.contact_id),
        "sales": list(inquiry.sales.all()),
    }


def person(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """Who asks, with the number as it is dialled from here and the languages by name."""
    contact, home = inquiry.contact, the_shop().country
    return {
        "number": shown(contact.telephone, at=home, country=contact.country or home),
        "spoken": language_names(contact.languages),
    }


PANELS = [
    Panel("said", Place.BELOW, said),
    Panel("answer", Place.BELOW, replies),
    Panel("answering", Place.BELOW, answering),
    Panel("note", Place.BELOW, notes),
    Panel("cautions", Place.BESIDE, cautions),
    Panel("follow_up", Place.BESIDE, follow_up),
    Panel("offers", Place.BESIDE, offers_panel),
    Panel("quotation", Place.BESIDE, quotations),
    Panel("piece", Place.BESIDE, piece),
    Panel("holds", Place.BESIDE, holds),
    Panel("person", Place.BESIDE, person),
    Panel("done", Place.BESIDE, done),
]


def thread_of(inquiry: int) -> Inquiry:
    """The thread under this number, with its person, or the page for what is not there."""
    return get_object_or_404(Inquiry.objects.select_related("contact"), pk=inquiry)


def thread_page(request: DeskRequest, inquiry: Inquiry, **shown: Any) -> HttpResponse:
    """The page of a thread; `shown` are forms that came back, under the names their panels give them."""
    at = timezone.now()
    instrument = _instrument(inquiry, at)
    context: dict[str, Any] = {
        "inquiry": inquiry,
        "instrument": instrument,
        "at": at,
        "panels": {place.value: [panel for panel in PANELS if panel.place == place] for place in Place},
    }
    for panel in PANELS:
        context |= panel.gather(inquiry, instrument, request.user, at)
    return render(request, "desk/inquiries/inquiry.html", context | shown)


def _instrument(inquiry: Inquiry, at: datetime) -> Instrument | None:
    if inquiry.instrument_id is None:
        return None
    rows = annotated(Instrument.objects.named(), at=at).prefetch_related("measurements__measure", "numbers")
    inquiry.instrument = rows.get(pk=inquiry.instrument_id)
    return inquiry.instrument
