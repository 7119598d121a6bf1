"""Hand out a whole thread as a file, at the desk alone."""

from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inquiries.papers.mailbox_file import mailbox
from inquiries.papers.thread_paper import thread_paper
from inquiries.threads.models import Inquiry
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, desk

# What others wrote is a file to be saved: nothing in it runs, loads, or is taken for a page of ours.
SHUT = "sandbox; default-src 'none'"


@require_safe
@desk
def thread_mbox(request: DeskRequest, inquiry: int) -> StreamingHttpResponse:
    """The thread as a mailbox file, message after message, so that large ones need no room in memory at once."""
    found = _found(inquiry)
    answer = StreamingHttpResponse(mailbox(found, the_shop()), content_type="application/mbox")
    answer["Content-Disposition"] = f'attachment; filename="{_name(found)}.mbox"'
    answer["Content-Security-Policy"] = SHUT
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


@require_safe
@desk
def thread_pdf(request: DeskRequest, inquiry: int) -> HttpResponse:
    """The thread to be read or printed."""
    found, now = _found(inquiry), timezone.now()
    answer = HttpResponse(thread_paper(found, the_shop(), at=now), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{_name(found)}.pdf"'
    return answer


def _found(inquiry: int) -> Inquiry:
    return get_object_or_404(
        Inquiry.objects.select_related(
            "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
        ),
        pk=inquiry,
    )


def _name(inquiry: Inquiry) -> str:
    about = f"no {inquiry.instrument.stock_id}" if inquiry.instrument else inquiry.matter
    return slugify(f"letters {inquiry.contact} {about}")[:100] or "letters"
