"""Make the papers of a sale, and the quotation of a thread."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.desk.paper_forms import PaperForm
from inquiries.desk.paper_panel import OF_A_SALE, form_for, quotation_form
from inquiries.desk.sale_page import sale_page
from inquiries.desk.thread_page import thread_of, thread_page
from inquiries.papers.issuing import issue_paper
from inquiries.papers.models import IssuedPaper
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from inquiries.threads.models import Inquiry
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only

Kind = IssuedPaper.Kind


@require_POST
@desk
def paper_make(request: DeskRequest, sale: str, kind: str) -> HttpResponse:
    """Make a paper of a sale, or a new version of it."""
    if kind not in OF_A_SALE or kind == Kind.STATEMENT:
        raise Http404
    return _of_sale(request, sale, kind)


@require_POST
@owner_only
def statement_make(request: DeskRequest, sale: str) -> HttpResponse:
    """Make the statement for the consignor, or a new version of it."""
    return _of_sale(request, sale, Kind.STATEMENT)


@require_POST
@desk
def quotation_make(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Make a quotation for the person of a thread, or a new version of it."""
    found = thread_of(inquiry)
    if found.instrument is None:
        raise Http404
    versions = found.papers.filter(kind=Kind.QUOTATION).order_by("-version")
    form = quotation_form(found, found.instrument, versions, at=timezone.now(), data=request.POST)
    if _made(request, Kind.QUOTATION, found, form):
        return redirect(f"{reverse('inquiry', args=[inquiry])}#quotation")
    return thread_page(request, found, quotation_form=form)


def _of_sale(request: DeskRequest, number: str, kind: str) -> HttpResponse:
    found = get_object_or_404(with_rows(Sale.objects.all()), number=number)
    versions = found.papers.filter(kind=kind).order_by("-version")
    form = form_for(kind, found, versions, at=timezone.now(), data=request.POST)
    if _made(request, kind, found, form):
        return redirect(f"{reverse('sale', args=[number])}#paper-{kind}")
    return sale_page(request, found, paper_form=form, paper_kind=kind)


def _made(request: DeskRequest, kind: str, about: Sale | Inquiry, form: PaperForm) -> bool:
    """Whether the press made a paper; otherwise the form says why not, with everything typed.

    A press sent twice made it the first time, though the form asks for a reason by now.
    """
    if IssuedPaper.objects.filter(entry=request.POST.get("entry", "")).exists():
        return True
    if not form.is_valid():
        return False
    given: dict[str, Any] = form.cleaned_data
    try:
        paper = issue_paper(
            kind,
            about,
            entry=given["entry"],
            by=request.user,
            at=timezone.now(),
            given=form.given(),
            cancels=given["cancels"],
            reason=given.get("reason", ""),
        )
    except Refused as refused:
        form.add_error(None, refused.message)
        return False
    messages.success(request, f"{paper} is made.")
    return True
