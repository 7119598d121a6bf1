"""Mail at the desk: what waits to be sorted, what is laid by, and what came with it."""

from pathlib import Path
from typing import BinaryIO

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.pictures.prints import WIDTHS, print_path
from inquiries.desk.mail_forms import JoinForm, OpenForm
from inquiries.mail.actions import bring_back, join, lay_by, open_from
from inquiries.mail.keeping import file_path, message_path
from inquiries.mail.models import Attachment, MailFolder, ReceivedMail
from inquiries.mail.queries import laid_by, threads_for, to_sort
from inquiries.mail.rules import bare_subject, stock_in
from inquiries.people.actions import add_email
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk

ON_A_PAGE = 50
# What comes from outside is a file to be saved: nothing in it runs, loads, or is taken for a page of ours.
SHUT = "sandbox; default-src 'none'"


@require_safe
@desk
def mail(request: DeskRequest) -> HttpResponse:
    """Mail that waits to be sorted, or with ?show=laid-by what is in no thread and waits for nobody."""
    aside = request.GET.get("show") == "laid-by"
    rows = (laid_by() if aside else to_sort()).select_related(
        "guess__contact", "guess__instrument__maker", "guess__instrument__model__maker"
    )
    page = Paginator(rows.prefetch_related("attachments"), ON_A_PAGE).get_page(request.GET.get("page"))
    shown = {"page_obj": page, "aside": aside, "folders": MailFolder.objects.order_by("name")}
    return render(request, "desk/mail/list.html", shown)


@require_safe
@desk
def received(request: DeskRequest, mail: int) -> HttpResponseBase:
    """One mail, with what can be done with it; one that is in a thread is shown there."""
    found = _found(mail)
    if found.message is not None:
        return redirect("inquiry", found.message.inquiry_id)
    return _page(request, found)


@require_POST
@desk
def mail_join(request: DeskRequest, mail: int) -> HttpResponseBase:
    """Lay it in a thread that is there."""
    found = _found(mail)
    form = JoinForm(request.POST)
    if form.is_valid():
        try:
            message = join(found, form.cleaned_data["thread"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, "The mail is in this thread now.")
            return redirect("inquiry", message.inquiry_id)
    return _page(request, found, joining=form)


@require_POST
@desk
def mail_open(request: DeskRequest, mail: int) -> HttpResponseBase:
    """Open a thread with it."""
    found, form = _found(mail), OpenForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        message = open_from(
            found,
            name=given["name"],
            instrument=given["stock"],
            matter="" if given["stock"] else given["matter"],
            by=request.user,
            at=timezone.now(),
        )
        messages.success(request, f"A thread with {message.inquiry.contact} is open.")
        return redirect("inquiry", message.inquiry_id)
    return _page(request, found, opening=form)


@require_POST
@desk
def mail_lay_by(request: DeskRequest, mail: int) -> HttpResponse:
    """It belongs to no thread."""
    try:
        lay_by(_found(mail), by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The mail is laid by.")
    return redirect("mail")


@require_POST
@desk
def mail_bring_back(request: DeskRequest, mail: int) -> HttpResponse:
    """It is from a person after all."""
    try:
        bring_back(_found(mail), by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("mail")
    messages.success(request, "The mail waits to be sorted.")
    return redirect("mail-received", mail)


@require_POST
@desk
def mail_theirs(request: DeskRequest, mail: int) -> HttpResponseBase:
    """The address that a mail in a thread came from is the person's own: it is one of theirs from now on."""
    found = _found(mail)
    if found.message is None:
        messages.error(request, "This mail is in no thread yet, so nobody is known to have written it.")
        return redirect("mail-received", mail)
    person = found.message.inquiry.contact
    try:
        add_email(person, found.from_email, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{found.from_email} is known as an address of {person} now.")
    return redirect("inquiry", found.message.inquiry_id)


@require_safe
@desk
def mail_whole(request: DeskRequest, mail: int) -> HttpResponseBase:
    """The whole message as received, as a file."""
    found = _found(mail)
    return _saved(_opened(message_path(found.sha256)), f"mail of {found.received_at:%Y-%m-%d}.eml")


@require_safe
@desk
def mail_attachment(request: DeskRequest, token: str) -> HttpResponseBase:
    """A file that came with a mail, to be saved."""
    attachment = get_object_or_404(Attachment, token=token)
    return _saved(_opened(file_path(attachment.sha256)), attachment.name)


@require_safe
@desk
def mail_picture(request: DeskRequest, token: str, width: int) -> HttpResponseBase:
    """A print of a picture that came with a mail: the width asked for, or the widest there is below it."""
    attachment = get_object_or_404(Attachment, token=token, prints=Attachment.Prints.READY)
    if width not in WIDTHS:
        raise Http404
    exact = print_path(attachment.token, width, "webp")
    smaller = sorted(exact.parent.glob(f"{attachment.token}-*.webp"), key=lambda file: _width(file.stem))
    file = (
        exact
        if exact.exists()
        else next((one for one in reversed(smaller) if _width(one.stem) < width), exact)
    )
    return FileResponse(_opened(file), content_type="image/webp")


def _width(stem: str) -> int:
    return int(stem.rpartition("-")[2])


def _opened(file: Path) -> BinaryIO:
    try:
        return file.open("rb")
    except FileNotFoundError:  # a folder that was not restored is no error page
        raise Http404 from None


def _saved(file: BinaryIO, name: str) -> FileResponse:
    response = FileResponse(file, content_type="application/octet-stream", as_attachment=True, filename=name)
    response["Content-Security-Policy"] = SHUT
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _found(mail: int) -> ReceivedMail:
    return get_object_or_404(
        ReceivedMail.objects.select_related(
            "message__inquiry__contact", "guess__contact", "guess__instrument"
        ),
        pk=mail,
    )


def _page(
    request: DeskRequest,
    found: ReceivedMail,
    *,
    joining: forms.Form | None = None,
    opening: forms.Form | None = None,
) -> HttpResponse:
    words = " ".join(request.GET.get("find", "").split())[:100]
    threads = threads_for(found, words)
    shown = {
        "mail": found,
        "attachments": found.attachments.all(),
        "words": words,
        "threads": threads,
        "joining": joining or JoinForm(),
        "opening": opening or OpenForm(initial=_first(found)),
    }
    return render(request, "desk/mail/mail.html", shown)


def _first(found: ReceivedMail) -> dict[str, object]:
    """What the form of a new thread begins with."""
    stock = stock_in(found.subject)
    name = found.from_name or found.from_email.partition("@")[0]
    return {"name": name[:120], "stock": stock, "matter": "" if stock else bare_subject(found.subject)[:200]}
