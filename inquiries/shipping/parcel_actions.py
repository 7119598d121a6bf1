"""The deeds on a parcel: a photograph kept before it is sealed, and a parcel given up as lost."""

from datetime import datetime
from pathlib import Path

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from catalog.pictures.intake import keep_decoded, original_path
from catalog.pictures.prints import plain_prints, print_path, write_print
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from inquiries.sales.rules import Step
from inquiries.sales.steps import check, locked, settled
from inquiries.shipping.models import Loss, ParcelPicture
from shop.history.actions import record
from shop.keeping import Kept
from shop.refusal import Refused
from shop.staff.models import User

WIDTHS = (400, 1600)


def keep_picture(
    sale: Sale, upload: "UploadedFile[bytes]", *, caption: str, by: User | None, at: datetime
) -> ParcelPicture:
    """Keep one photograph of the piece and its packing, as received; when this returns, it is safe.

    Raises Refused, naming the file, when it is no photograph, damaged, too large or known already, or when the disk is
    full; and once the parcel has gone.
    """
    check(with_rows(Sale.objects.all()).get(pk=sale.pk), Step.PICTURE, at=at)
    kept, prints = keep_decoded(upload, lambda file: plain_prints(file, WIDTHS))
    name = (upload.name or "photograph")[-255:]
    picture = _enter(sale, name, kept, caption=caption, by=by, at=at)
    for width, data in prints.items():
        write_print(data, kept.sha256, width)
    return picture


@transaction.atomic
def _enter(
    sale: Sale, name: str, kept: Kept, *, caption: str, by: User | None, at: datetime
) -> ParcelPicture:
    sale = locked(sale)
    check(sale, Step.PICTURE, at=at)
    if twin := sale.parcel_pictures.filter(sha256=kept.sha256).first():
        raise Refused(f"{name} is here already, as {twin.original_name}.", code="duplicate")
    record(sale, "photograph before sealing", by=by, at=at, new=name)
    return ParcelPicture.objects.create(
        sale=sale,
        original_name=name,
        sha256=kept.sha256,
        suffix=kept.suffix,
        bytes=kept.bytes,
        caption=caption,
        by=by,
        at=at,
    )


def shown_print(picture: ParcelPicture, width: int) -> Path:
    """Where the small picture of a photograph lies; made anew from the original where it has gone. Raises OSError."""
    place = print_path(picture.sha256, width, "webp")
    if not place.exists():
        made = plain_prints(original_path(picture.sha256, picture.suffix), (width,))
        write_print(made[width], picture.sha256, width)
    return place


@transaction.atomic
def record_loss(sale: Sale, *, what: str, claim: str, by: User | None, at: datetime) -> Loss:
    """The carrier has lost the parcel, or it came to pieces; the sale goes on until the owner ends it."""
    sale = locked(sale)
    if before := Loss.objects.filter(shipment__sale=sale).first():
        return before
    check(sale, Step.LOSE, at=at)
    record(sale, "parcel lost", by=by, at=at, new=f"{what} {claim}".strip())
    loss = Loss.objects.create(shipment=sale.shipment, what=what, claim=claim, by=by, at=at)
    settled(sale, at=at)
    return loss
