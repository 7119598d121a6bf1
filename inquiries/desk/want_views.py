"""What people seek, at the desk."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inquiries.people.models import Want
from inquiries.people.queries import open_wants
from inquiries.wants.actions import lay_want_aside
from shop.staff.guards import DeskRequest, desk

PAGE_LENGTH = 50


@require_safe
@desk
def wants(request: DeskRequest) -> HttpResponse:
    """The open wishes, the latest first; each leads to its person, and to what answers to it now."""
    page = Paginator(open_wants(), PAGE_LENGTH).get_page(request.GET.get("page"))
    return render(request, "desk/wants/list.html", {"page_obj": page})


@require_POST
@desk
def want_done(request: DeskRequest, want: int) -> HttpResponse:
    """It was found, or is sought no longer. Back to where the button stood."""
    found = get_object_or_404(Want.objects.select_related("contact"), pk=want)
    lay_want_aside(found, by=request.user, at=timezone.now())
    messages.success(request, f"The wish of {found.contact} is done.")
    return redirect("contact", found.contact_id) if "from-person" in request.POST else redirect("wants")
