"""The list of materials: everybody reads it, the owner adds and retires."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.desk.forms.materials import NewMaterialForm
from catalog.materials.actions import add_material, retire_material
from catalog.materials.models import Material
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk, owner_only


@require_safe
@desk
def materials(request: DeskRequest) -> HttpResponse:
    """Every material that has ever been in the list."""
    return _page(request, NewMaterialForm())


@require_POST
@owner_only
def add(request: DeskRequest) -> HttpResponse:
    """Take one more into the list. What cannot be kept stays as typed."""
    form = NewMaterialForm(request.POST)
    if form.is_valid():
        try:
            material = add_material(
                **form.cleaned_data, on=timezone.localdate(), by=request.user, at=timezone.now()
            )
        except Refused as refused:
            form.add_error("name", refused.message)
        else:
            messages.success(request, f"{material.name} is in the list.")
            return redirect("materials")
    return _page(request, form)


@require_POST
@owner_only
def retire(request: DeskRequest, material: int) -> HttpResponse:
    """Offer one no longer; records keep it."""
    found = get_object_or_404(Material, pk=material)
    retire_material(found, by=request.user, at=timezone.now())
    messages.success(request, f"{found.name} is offered no longer; records that have it keep it.")
    return redirect("materials")


def _page(request: DeskRequest, form: NewMaterialForm) -> HttpResponse:
    return render(
        request, "desk/materials/materials.html", {"materials": Material.objects.all(), "form": form}
    )
