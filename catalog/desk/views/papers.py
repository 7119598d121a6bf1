"""The papers of one record: take one in, say what it is, hand out its file at the desk."""

from pathlib import Path

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.desk.forms.papers import NewPaperForm, PaperForm
from catalog.desk.views.record import find_standing, record_context, revision_of
from catalog.papers.intake import TYPES, received_path
from catalog.papers.models import Paper
from shop.staff.guards import DeskRequest, desk


@require_http_methods(["GET", "POST"])
@desk
def papers(request: DeskRequest, stock: int) -> HttpResponse:
    """All papers in the order of their dates, and a form for one more. What is refused stays as typed."""
    at = timezone.now()
    stands = find_standing(stock, at=at)
    posted = request.method == "POST"
    data, files = (request.POST, request.FILES) if posted else (None, None)
    form = NewPaperForm(stands.instrument, request.user, data, files)
    if posted and form.is_valid() and form.keep(by=request.user, at=at):
        messages.success(request, "The paper is kept.")
        return redirect("papers", stock)
    context = {**record_context(request, stands, "papers"), "form": form}
    return render(
        request, "desk/stock/papers.html", {**context, "papers": list(stands.instrument.papers.all())}
    )


@require_http_methods(["GET", "POST"])
@desk
def paper_change(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """What is said of one paper, and its file while it has none; one that is here stays as it came."""
    at = timezone.now()
    paper = find_paper(stock, token)
    stands = find_standing(stock, at=at)
    posted = request.method == "POST"
    data, files = (request.POST, request.FILES) if posted else (None, None)
    form = PaperForm(stands.instrument, request.user, data, files, paper)
    if posted and form.is_valid():
        if form.keep(by=request.user, at=at, revision=revision_of(request)):
            messages.success(request, "The paper: saved.")
            return redirect("papers", stock)
        stands = find_standing(stock, at=at)
    context = {**record_context(request, stands, "papers"), "form": form, "paper": paper}
    return render(request, "desk/stock/paper_change.html", context)


@require_safe
@desk
def paper_file(request: DeskRequest, stock: int, token: str) -> FileResponse:
    """The file as it was received, to be kept and not opened by the browser."""
    paper = find_paper(stock, token)
    if not paper.sha256:
        raise Http404
    try:
        file = received_path(paper.sha256, paper.suffix).open("rb")
    except FileNotFoundError:  # a folder that was not restored is no error page
        raise Http404 from None
    name = f"{Path(paper.original_name).stem}.{paper.suffix}"
    response = FileResponse(file, as_attachment=True, filename=name, content_type=TYPES[paper.suffix])
    response["X-Content-Type-Options"] = "nosniff"
    return response


def find_paper(stock: int, token: str) -> Paper:
    """The paper of that record; Http404 when there is none."""
    return get_object_or_404(Paper, instrument__stock=stock, token=token)
