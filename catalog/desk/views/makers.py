"""Makers and models: what is said of them, what is usual, what it cost when it was new."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.desk.forms.makers import MakerForm, ModelSheet, RenameForm
from catalog.instruments.maker_actions import describe_maker, mark_of
from catalog.instruments.models import Maker, Model
from catalog.instruments.renaming_actions import rename_maker, rename_model
from shop.history.queries import history_of
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def makers(request: DeskRequest) -> HttpResponse:
    """Every maker by name, with how many models and pieces are in the book."""
    found = Maker.objects.annotate(
        pieces=Count("instruments", distinct=True), kept=Count("models", distinct=True)
    )
    return render(request, "desk/makers/makers.html", {"makers": found})


@require_http_methods(["GET", "POST"])
@desk
def maker(request: DeskRequest, maker: int) -> HttpResponse:
    """One maker: what is said of it, and its models."""
    found = get_object_or_404(Maker, pk=maker)
    form = MakerForm(found, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        describe_maker(found, form.cleaned_data, by=request.user, at=timezone.now())
        messages.success(request, f"{found.name}: saved.")
        return redirect("maker", maker)
    counted = found.models.annotate(
        pieces=Count("instruments", distinct=True),
        things=Count("usual", distinct=True),
        prices=Count("list_prices", distinct=True),
    )
    context = {"maker": found, "form": form, "models": counted, "history": history_of(found)}
    return render(request, "desk/makers/maker.html", context)


@require_http_methods(["GET", "POST"])
@desk
def maker_rename(request: DeskRequest, maker: int) -> HttpResponse:
    """Another name for a maker, wherever it stands."""
    return _renamed(request, get_object_or_404(Maker, pk=maker), rename_maker, back="maker")


@require_http_methods(["GET", "POST"])
@desk
def model_rename(request: DeskRequest, model: int) -> HttpResponse:
    """Another name for a model, wherever it stands."""
    found = get_object_or_404(Model.objects.select_related("maker"), pk=model)
    return _renamed(request, found, rename_model, back="model-sheet")


def _renamed(request: DeskRequest, thing: Any, deed: Callable[..., bool], *, back: str) -> HttpResponse:
    """The name in a form. What was typed stays there when the deed is refused."""
    form = RenameForm(thing.name, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        name, was = form.cleaned_data["name"], form.cleaned_data["was"]
        try:
            changed = deed(thing, name, was=was, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("name", refused.message)
        else:
            messages.success(
                request, f"{was} is called {name} now." if changed else f"{name}: nothing changed."
            )
            return redirect(back, thing.pk)
    shown = {
        "thing": thing,
        "form": form,
        "pieces": thing.instruments.count(),
        "back": reverse(back, args=[thing.pk]),
    }
    return render(request, "desk/makers/rename.html", shown)


@require_http_methods(["GET", "POST"])
@desk
def model_sheet(request: DeskRequest, model: int) -> HttpResponse:
    """One model: what is usual on it and what it cost, each with its source. A slip changes nothing."""
    found = get_object_or_404(Model.objects.select_related("maker"), pk=model)
    data = request.POST if request.method == "POST" else None
    sheet = ModelSheet(found, data)
    refusal = ""
    if data is not None and sheet.is_valid():
        try:
            sheet.keep(by=request.user, at=timezone.now(), as_shown=data.get("as-shown", ""))
        except Refused as refused:
            refusal = refused.message
        else:
            messages.success(request, f"{found}: saved.")
            return redirect("model-sheet", model)
    return render(request, "desk/makers/model.html", {**_of(found), "sheet": sheet, "refusal": refusal})


def _of(model: Model) -> dict[str, Any]:
    return {
        "model": model,
        "mark": mark_of(model),
        "pieces": model.instruments.select_related("kind").order_by("stock"),
        "history": history_of(model),
    }
