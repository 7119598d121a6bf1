"""Hand out the report on condition and originality: to everybody once the piece is public, to the desk before."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.instruments.models import Instrument
from catalog.public.queries import pages
from catalog.public.shown.listing import listing
from catalog.report.pdf import report
from shop.staff.guards import DeskRequest, desk


@require_safe
def listing_report(request: HttpRequest, stock: int, slug: str) -> HttpResponseBase:
    """The report on a listed or sold piece. It lives at one address: an old slug leads to the new one."""
    now = timezone.now()
    instrument = get_object_or_404(pages(Instrument.objects.public(), at=now), stock__number=stock)
    if slug != instrument.slug:
        return redirect("listing-report", stock, instrument.slug, permanent=True)
    return _answer(instrument, at=now, address=request.build_absolute_uri(instrument.get_absolute_url()))


@require_safe
@desk
def record_report(request: DeskRequest, stock: int) -> HttpResponse:
    """The report as it would be now, also on a draft."""
    now = timezone.now()
    instrument = get_object_or_404(pages(Instrument.objects.all(), at=now), stock=stock)
    address = request.build_absolute_uri(instrument.get_absolute_url()) if instrument.is_public else ""
    return _answer(instrument, at=now, address=address)


def _answer(instrument: Instrument, *, at: datetime, address: str) -> HttpResponse:
    # The queue behind a hold is no matter of condition, so it is not asked for.
    made = report(listing(instrument, waiting=0), day=timezone.localdate(at), address=address)
    answer = HttpResponse(made, content_type="application/pdf")
    name = f"Report on No. {instrument.stock_id}.pdf"
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer
