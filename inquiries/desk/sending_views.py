"""A message that has not gone: try it again, or leave it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.threads.models import Message
from inquiries.threads.sending import leave, send_again
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_POST
@desk
def message_again(request: DeskRequest, message: int) -> HttpResponse:
    """Try it once more, as the same mail."""
    return _done(request, message, send_again, "It is tried again now.")


@require_POST
@desk
def message_leave(request: DeskRequest, message: int) -> HttpResponse:
    """Do nothing more about it."""
    return _done(request, message, leave, "It is left as it is.")


def _done(request: DeskRequest, message: int, deed: Callable[..., Any], words: str) -> HttpResponse:
    found = get_object_or_404(Message, pk=message)
    try:
        deed(found, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, words)
    if request.POST.get("from") == "today":
        return redirect("today")
    return redirect("inquiry", found.inquiry_id)
