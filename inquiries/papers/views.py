"""Hand out papers at the desk."""

from django.http import FileResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inquiries.papers.models import Receipt
from inquiries.papers.pdf import receipt_path
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def receipt(request: DeskRequest, receipt: str) -> FileResponse:
    """The PDF of one receipt."""
    found = get_object_or_404(Receipt, number=receipt)
    return FileResponse(
        receipt_path(found).open("rb"),
        content_type="application/pdf",
        filename=f"Receipt {found.number}.pdf",
    )
