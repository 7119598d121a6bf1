"""The photographs of one record: send many, see how far each is, describe, order, remove."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.desk.forms.pictures import PhotographForm
from catalog.desk.views.record import find_instrument, find_standing, record_context
from catalog.instruments.models import Instrument, View
from catalog.pictures import actions
from catalog.pictures.models import Photograph
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def pictures(request: DeskRequest, stock: int) -> HttpResponse:
    """All photographs in their order, and the views that a buyer expects."""
    return _page(request, stock, at=timezone.now())


def _page(
    request: DeskRequest, stock: int, *, at: datetime, wrong: PhotographForm | None = None
) -> HttpResponse:
    """The page; a form that could not be read (`wrong`) stands in it as it was typed."""
    stands = find_standing(stock, at=at)
    instrument = stands.instrument
    views = list(instrument.kind.views.all())
    photographs = list(instrument.photographs.select_related("view", "instrument"))
    forms = [
        wrong if wrong and wrong.photograph == photograph else PhotographForm(photograph, None, views)
        for photograph in photographs
    ]
    shown = {photograph.view_id for photograph in photographs}
    context = {
        **record_context(request, stands, "pictures"),
        "prints": forms,
        "views": [(view, view.pk in shown) for view in views if view.required or view.pk in shown],
    }
    return render(request, "desk/stock/pictures.html", context)


@require_POST
@desk
def send(request: DeskRequest, stock: int) -> HttpResponse:
    """Take in the files of one POST; each is refused by its name or kept, whatever the others are."""
    instrument = find_instrument(stock)
    answers = [_received(request, instrument, upload) for upload in request.FILES.getlist("files")]
    if request.accepts("text/html"):
        for answer in answers:
            (messages.success if answer["kept"] else messages.error)(request, answer["says"])
        if not answers:
            messages.warning(request, "No file came with that. Choose photographs, then send.")
        return redirect("pictures", stock)
    return JsonResponse({"files": answers})


def _received(request: DeskRequest, instrument: Instrument, upload: "UploadedFile[bytes]") -> dict[str, Any]:
    name = upload.name or ""
    try:
        photograph = actions.receive_photograph(instrument, upload, by=request.user, at=timezone.now())
    except Refused as refused:
        return {"name": name, "kept": False, "says": refused.message}
    answer = {"name": name, "kept": True, "says": f"{name} is kept."}
    if not request.accepts("text/html"):
        views: list[View] = list(instrument.kind.views.all())
        context = {"form": PhotographForm(photograph, None, views), "instrument": instrument}
        answer["print"] = render_to_string("desk/stock/_print.html", context, request)
    return answer


@require_safe
@desk
def plate(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """The picture alone: while the worker is at it, this part asks again by itself."""
    photograph = find_photograph(stock, token)
    context = {"photograph": photograph, "instrument": photograph.instrument}
    return render(request, "desk/stock/_plate.html", context)


@require_POST
@desk
def describe(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """Say what a photograph shows."""
    photograph = find_photograph(stock, token)
    form = PhotographForm(photograph, request.POST, list(photograph.instrument.kind.views.all()))
    if not form.is_valid():
        return _page(request, stock, at=timezone.now(), wrong=form)
    actions.describe(photograph, **form.cleaned_data, by=request.user, at=timezone.now())
    messages.success(request, "The photograph is described.")
    return _back(stock, photograph)


@require_POST
@desk
def lead(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """Let this photograph stand first and on cards."""
    photograph = find_photograph(stock, token)
    actions.choose_lead(photograph, by=request.user, at=timezone.now())
    return _back(stock, photograph)


@require_POST
@desk
def move(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """One place earlier or later."""
    photograph = find_photograph(stock, token)
    places = -1 if request.POST.get("to") == "earlier" else 1
    actions.move(photograph, places, by=request.user, at=timezone.now())
    return _back(stock, photograph)


@require_POST
@desk
def order(request: DeskRequest, stock: int) -> HttpResponse:
    """The whole order at once, as the mouse left it: `order` names the photographs one after the other."""
    instrument = find_instrument(stock)
    keys = dict(instrument.photographs.values_list("token", "pk"))
    wanted = [keys[token] for token in request.POST.getlist("order") if token in keys]
    actions.put_in_order(instrument, list(dict.fromkeys(wanted)), by=request.user, at=timezone.now())
    return redirect("pictures", stock)


@require_http_methods(["GET", "POST"])
@desk
def remove(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """Take a photograph off the record, after a question."""
    photograph = Photograph.objects.filter(instrument__stock=stock, token=token).first()
    if request.method == "GET":
        if photograph is None:
            return redirect("pictures", stock)
        context = record_context(request, find_standing(stock, at=timezone.now()), "pictures")
        return render(request, "desk/stock/picture_remove.html", {**context, "photograph": photograph})
    if photograph is not None:
        actions.remove(photograph, by=request.user, at=timezone.now())
    messages.success(request, "The photograph is off the record. Its original is kept.")
    return redirect("pictures", stock)


def find_photograph(stock: int, token: str) -> Photograph:
    """The photograph of that record; Http404 when there is none."""
    photographs = Photograph.objects.select_related("instrument__kind", "view")
    return get_object_or_404(photographs, instrument__stock=stock, token=token)


def _back(stock: int, photograph: Photograph) -> HttpResponse:
    answer = redirect("pictures", stock)
    answer["Location"] += f"#print-{photograph.token}"
    return answer
