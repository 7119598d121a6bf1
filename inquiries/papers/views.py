"""Hand out papers at the desk."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from inquiries.papers.filing import bytes_of
from inquiries.papers.models import IssuedPaper
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only

OWNERS = {IssuedPaper.Kind.STATEMENT}


@require_safe
@desk
def issued_paper(request: DeskRequest, issued: str, version: int) -> HttpResponse:
    """The PDF of one version of a paper, as it was made."""
    papers = IssuedPaper.objects.exclude(kind__in=OWNERS).select_related("sale", "inquiry")
    return _file(request, get_object_or_404(papers, number=issued, version=version))


@require_safe
@owner_only
def issued_statement(request: DeskRequest, issued: str, version: int) -> HttpResponse:
    """The PDF of a statement for a consignor."""
    papers = IssuedPaper.objects.filter(kind__in=OWNERS).select_related("sale")
    return _file(request, get_object_or_404(papers, number=issued, version=version))


def _file(request: DeskRequest, paper: IssuedPaper) -> HttpResponse:
    """The file that was kept; when it is gone or differs, the page it belongs to says so."""
    try:
        made = bytes_of(paper, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
        return _home_of(paper)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{paper}.pdf"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _home_of(paper: IssuedPaper) -> HttpResponse:
    """The page that the paper belongs to."""
    if paper.inquiry_id:
        return redirect("inquiry", paper.inquiry_id)
    return redirect("sale", paper.sale.number) if paper.sale else redirect("sales")
