"""How a date is understood, while it is being typed."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.dating.forms import WIDEST, Echo
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def understood_date(request: DeskRequest) -> HttpResponse:
    """The echo of the one field that `of` names; as much of it as any date may be long."""
    field = request.GET.get("of", "")
    return render(
        request, "desk/dates/_understood.html", {"echo": Echo(field, request.GET.get(field, "")[:WIDEST])}
    )
