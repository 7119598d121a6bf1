"""What Today says of pieces of others and of pieces that are out: agreements that end, shares to pay, jobs not back."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Final

from django.urls import reverse

from catalog.models import Instrument, Work
from catalog.pricing.queries import agreement_on, consigned_in_stock
from inquiries.review.lines import Due
from inquiries.sales.models import Sale
from inquiries.sales.shares import due_on, share_due
from shop.money import Money
from shop.profile.models import ShopProfile

AHEAD: Final = timedelta(days=30)  # an agreement that ends within it is spoken of
LONG: Final = 42  # days a job is out before it is marked; our own choice


def agreements_that_end(today: date) -> list[Due]:
    """Consigned pieces whose agreement ends soon or has ended with none in its place, that which ends first on top."""
    found = [(_end_of(piece, today), piece) for piece in consigned_in_stock()]
    ending = [(ends, piece) for ends, piece in found if ends and ends <= today + AHEAD]
    return [
        _agreement(piece, ends, today) for ends, piece in sorted(ending, key=lambda one: (one[0], one[1].pk))
    ]


def _end_of(piece: Instrument, today: date) -> date | None:
    """When the agreement in force ends; None where one that goes on longer is already written down."""
    agreement = agreement_on(piece, today)
    if agreement is None or agreement.ends is None:
        return None
    following = [
        row for row in piece.agreements.all() if today < row.starts <= agreement.ends + timedelta(days=1)
    ]
    return None if following else agreement.ends


def _agreement(piece: Instrument, ends: date, today: date) -> Due:
    over = ends < today
    note = f"{piece.acquisition.seller}. It {'ran out' if over else 'runs out'} on {ends:%-d %B %Y}."
    where = reverse("costs", args=[piece.stock_id]) + "#agreements"
    return Due(f"No. {piece.stock_id}, {piece.name}", note, where, "See the agreement", over=over)


def share_to_pay(sale: Sale, whose: str, shop: ShopProfile, *, at: datetime) -> Iterable[Due]:
    """The consignor of a closed sale, with the day until which they are to be paid."""
    share, until = share_due(sale, shop.zone), due_on(sale, shop.zone)
    if not share:
        return
    note = f"The share is {Money(share, sale.currency)}"
    over = until is not None and until < at.astimezone(shop.zone).date()
    if until is not None:
        note += f", to be paid by {until:%-d %B %Y}"
    where = reverse("sale", args=[sale.number]) + "#consignor"
    yield Due(f"Consignor to pay: {whose}", note, where, "Pay the consignor", sale.ended_at, over=over)


def jobs_out(today: date) -> list[Due]:
    """Pieces out for repair or set-up, the one that is out longest first; who has them is said on the record alone."""
    rows = Work.objects.filter(done_on__isnull=True).select_related(
        "instrument__kind", "instrument__maker", "instrument__model__maker"
    )
    return [_job(row, today) for row in rows.order_by("begun_on", "pk")]


def _job(row: Work, today: date) -> Due:
    days = (today - row.begun_on).days
    since = f"given out on {row.begun_on:%-d %B %Y}"
    note = f"{row.what}, {since}" + (f", {days} day{'' if days == 1 else 's'} ago" if days > 0 else "")
    piece = row.instrument
    where = reverse("work", args=[piece.stock_id]) + f"#job-{row.pk}"
    return Due(f"No. {piece.stock_id}, {piece.name}", note, where, "See the job", over=days > LONG)
