"""Hand out papers at the desk."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inquiries.papers.models import Receipt
from inquiries.papers.pdf import receipt_path
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def receipt(request: DeskRequest, receipt: str) -> HttpResponse:
    """The PDF of one receipt."""
    found = get_object_or_404(Receipt, number=receipt)
    response = HttpResponse(receipt_path(found).read_bytes(), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="Receipt {found.number}.pdf"'
    return response
