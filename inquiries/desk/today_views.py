"""Today: what is due."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inquiries.review.due import due_today
from inquiries.wants.queries import open_wants
from shop.jobs.actions import try_again
from shop.jobs.models import Job
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def today(request: DeskRequest) -> HttpResponse:
    """Everything that waits for somebody, each line a link to where it is done."""
    at = timezone.now()
    shown = {"parts": due_today(user=request.user, at=at), "at": at, "wants": open_wants().count()}
    return render(request, "desk/today/today.html", shown)


@require_POST
@desk
def work_again(request: DeskRequest, job: int) -> HttpResponse:
    """Try background work that was given up once more."""
    try_again(get_object_or_404(Job, pk=job), by=request.user, at=timezone.now())
    messages.success(request, "It is tried again now.")
    return redirect("today")
