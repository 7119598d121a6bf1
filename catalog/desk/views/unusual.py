"""What is unusual: one row, while it is typed."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.desk.forms.unusual import UnusualForm
from catalog.desk.views.record import find_instrument
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def compared(request: DeskRequest, stock: int) -> HttpResponse:
    """What follows for the one row that `of` names; nothing for a row that is not on the list."""
    form = UnusualForm(find_instrument(stock), request.GET, request.user)
    row = form.row(request.GET.get("of", ""))
    return render(request, "desk/stock/_compared.html", {"row": row.echoed()}) if row else HttpResponse()
