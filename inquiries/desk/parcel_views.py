"""Photographs taken before a carton was sealed: sent in, shown small, given out as they came; for the desk alone."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.pictures.intake import original_path
from inquiries.desk.parcel_forms import PicturesForm
from inquiries.desk.sale_page import sale_page
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from inquiries.shipping.models import ParcelPicture
from inquiries.shipping.parcel_actions import WIDTHS, keep_picture, shown_print
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_POST
@desk
def sale_photographs(request: DeskRequest, sale: str) -> HttpResponse:
    """Take in the files of one press; each is kept, or refused by its name, whatever the others are."""
    found = get_object_or_404(with_rows(Sale.objects.all()), number=sale)
    form = PicturesForm(request.POST, auto_id="id_pictures_%s")
    files = request.FILES.getlist("files")
    if not files:
        form.add_error(None, "No file came with that. Choose photographs, then send them.")
    kept = 0
    if form.is_valid():
        for upload in files:
            try:
                caption = form.cleaned_data["caption"]
                keep_picture(found, upload, caption=caption, by=request.user, at=timezone.now())
                kept += 1
            except Refused as refused:
                if refused.code == "step-not-allowed":  # the page has no form any more that could say it
                    messages.error(request, refused.message)
                    return redirect("sale", sale)
                form.add_error(None, refused.message)
    if kept:
        messages.success(request, "1 photograph is kept." if kept == 1 else f"{kept} photographs are kept.")
    if form.errors:
        return sale_page(request, found, pictures_form=form)
    return redirect(f"{found.get_absolute_url()}#before-sealing")


@require_safe
@desk
def sale_photograph(request: DeskRequest, sale: str, picture: int, width: int) -> HttpResponseBase:
    """One of them at a width that is shown."""
    found = _picture(sale, picture)
    if width not in WIDTHS:
        raise Http404
    try:
        file = shown_print(found, width).open("rb")
    except (OSError, ValueError):  # an original that was not restored is no error page
        raise Http404 from None
    response = FileResponse(file, content_type="image/webp")
    response["Cache-Control"] = "private, no-store"
    return response


@require_safe
@desk
def sale_photograph_original(request: DeskRequest, sale: str, picture: int) -> HttpResponseBase:
    """One of them as it came, to be sent to a carrier or an insurer."""
    found = _picture(sale, picture)
    try:
        file = original_path(found.sha256, found.suffix).open("rb")
    except FileNotFoundError:
        raise Http404 from None
    response = FileResponse(
        file, content_type="application/octet-stream", as_attachment=True, filename=found.original_name
    )
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _picture(sale: str, picture: int) -> ParcelPicture:
    return get_object_or_404(ParcelPicture, pk=picture, sale__number=sale)
