"""Make the papers of a sale, its receipts anew, and the quotation of a thread."""

from collections.abc import Callable
from functools import partial

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inquiries.desk.paper_forms import PaperForm
from inquiries.desk.paper_panel import OF_A_SALE, form_for, quotation_form, receipt_form
from inquiries.desk.sale_page import sale_page
from inquiries.desk.thread_page import thread_of, thread_page
from inquiries.papers.issuing import issue_paper
from inquiries.papers.models import IssuedPaper
from inquiries.papers.receipts import renew_receipt
from inquiries.sales.ledger_models import LedgerRow
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
    if _made(request, form, _issue(Kind.QUOTATION, found, form)):
        return redirect(f"{reverse('inquiry', args=[inquiry])}#quotation")
    return thread_page(request, found, quotation_form=form)


@require_POST
@desk
def receipt_anew(request: DeskRequest, receipt: str) -> HttpResponse:
    """Make the next version of a receipt."""
    versions = list(IssuedPaper.objects.filter(kind=Kind.RECEIPT, number=receipt).order_by("-version"))
    if not versions:
        raise Http404
    row = LedgerRow.objects.get(receipts=versions[0])
    found = with_rows(Sale.objects.all()).get(pk=row.sale_id)
    form = receipt_form(versions, request.POST)
    if _made(request, form, partial(renew_receipt, row)):
        return redirect(f"{reverse('sale', args=[found.number])}#paper-{receipt}")
    return sale_page(request, found, paper_form=form, paper_key=receipt)


def _of_sale(request: DeskRequest, number: str, kind: str) -> HttpResponse:
    found = get_object_or_404(with_rows(Sale.objects.all()), number=number)
    versions = found.papers.filter(kind=kind).order_by("-version")
    form = form_for(kind, found, versions, at=timezone.now(), data=request.POST)
    if _made(request, form, _issue(kind, found, form)):
        return redirect(f"{reverse('sale', args=[number])}#paper-{kind}")
    return sale_page(request, found, paper_form=form, paper_key=kind)


def _issue(kind: str, about: Sale | Inquiry, form: PaperForm) -> Callable[..., IssuedPaper]:
    return lambda **press: issue_paper(kind, about, given=form.given(), **press)


def _made(request: DeskRequest, form: PaperForm, issue: Callable[..., IssuedPaper]) -> bool:
    """Whether the press made a paper; otherwise the form says why not, with everything typed.

    A press sent twice made it the first time, though the form asks for a reason by now.
    """
    if IssuedPaper.objects.filter(entry=request.POST.get("entry", "")).exists():
        return True
    if not form.is_valid():
        return False
    typed = form.cleaned_data
    press = {"entry": typed["entry"], "cancels": typed["cancels"], "reason": typed.get("reason", "")}
    try:
        paper = issue(**press, by=request.user, at=timezone.now())
    except Refused as refused:
        form.add_error(None, refused.message)
        return False
    messages.success(request, f"{paper} is made.")
    if paper.lacks:
        messages.warning(request, paper.lacks)
    return True
