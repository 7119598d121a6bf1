"""Whose turn it is: a word that needs no answer, a thread taken up again, a day to look at it again."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.desk.inquiry_forms import FollowUpForm
from inquiries.desk.thread_page import thread_of, thread_page
from inquiries.threads.models import Message
from inquiries.threads.turn_actions import (
    follow_up,
    needs_an_answer,
    needs_no_answer,
    no_follow_up,
    take_up,
)
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_POST
@desk
def message_no_answer(request: DeskRequest, message: int) -> HttpResponse:
    """A word of theirs, and what stood before it, needs no answer."""
    found = get_object_or_404(Message, pk=message, ours=False)
    if needs_no_answer(found, by=request.user, at=timezone.now()):
        messages.success(request, "That needs no answer. It no longer waits for us.")
    return redirect("inquiry", found.inquiry_id)


@require_POST
@desk
def message_an_answer(request: DeskRequest, message: int) -> HttpResponse:
    """It does need an answer."""
    found = get_object_or_404(Message, pk=message, ours=False)
    needs_an_answer(found, by=request.user, at=timezone.now())
    return redirect("inquiry", found.inquiry_id)


@require_POST
@desk
def inquiry_take_up(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Open a thread again that was laid aside."""
    found = thread_of(inquiry)
    try:
        take_up(found, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"The inquiry of {found.contact} is open again.")
    return redirect("inquiry", inquiry)


@require_POST
@desk
def inquiry_follow_up(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Set the day on which it comes up again."""
    found, form, at = thread_of(inquiry), FollowUpForm(request.POST), timezone.now()
    if form.is_valid():
        on, note = form.cleaned_data["on"], form.cleaned_data["note"]
        try:
            follow_up(found, on, note, today=timezone.localdate(at), by=request.user, at=at)
        except Refused as refused:
            form.add_error("on", refused.message)
        else:
            messages.success(request, f"It comes up again on {on:%-d %B %Y}, under “Today”.")
            return redirect("inquiry", inquiry)
    return thread_page(request, found, again=form)


@require_POST
@desk
def inquiry_followed_up(request: DeskRequest, inquiry: int) -> HttpResponse:
    """It has been looked at."""
    found = thread_of(inquiry)
    no_follow_up(found, by=request.user, at=timezone.now())
    messages.success(request, "No day is set any more.")
    return redirect("inquiry", inquiry)
