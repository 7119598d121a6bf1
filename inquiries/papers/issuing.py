"""Issue a paper of a sale or of a thread, from all rows that it is made from. Receipts: receipts.py."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.models import Instrument
from catalog.public.queries import pages
from catalog.public.shown.listing import listing
from inquiries.papers.content_bill import bill
from inquiries.papers.content_common import Content, Matter, framed
from inquiries.papers.content_customs import customs
from inquiries.papers.content_invoice import invoice
from inquiries.papers.content_packing import packing
from inquiries.papers.content_plan import plan
from inquiries.papers.content_quotation import quotation
from inquiries.papers.content_return import return_note
from inquiries.papers.content_statement import statement
from inquiries.papers.models import IssuedPaper
from inquiries.papers.writing import Version, next_version, write
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from inquiries.threads.models import Inquiry
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User
from shop.wording import in_own

Kind = IssuedPaper.Kind

BUILDERS: dict[str, Callable[[Matter], Content]] = {
    Kind.QUOTATION: quotation,
    Kind.INVOICE: invoice,
    Kind.PLAN: plan,
    Kind.BILL: bill,
    Kind.PACKING: packing,
    Kind.CUSTOMS: customs,
    Kind.STATEMENT: statement,
    Kind.RETURN: return_note,
}


@transaction.atomic
def issue_paper(
    kind: str,
    about: Sale | Inquiry,
    *,
    entry: str,
    by: User | None,
    at: datetime,
    given: dict[str, Any] | None = None,
    cancels: int | None = None,
    reason: str = "",
) -> IssuedPaper:
    """Issue a paper of a sale or, a quotation, of a thread; a form sent twice issues one.

    `cancels` is the version that a new one takes the place of, with the reason; both are kept. Raises Refused when
    what it would say is not written down yet, when there is one already, or when another version came first.
    """
    instrument = about.instrument
    if instrument is None:
        raise Refused("This thread is about no piece, so there is nothing to quote.", code="no-piece")
    # The lock for everything promised or sold of the piece: what stands on the paper cannot change meanwhile.
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if before := IssuedPaper.objects.filter(entry=entry).first():
        return before
    of = {"sale": about} if isinstance(about, Sale) else {"inquiry": about}
    new = next_version(kind, cancels=cancels, reason=reason, at=at, **of)
    content = _content(new, _matter(about, instrument, given or {}, cancels=new.old, at=at))
    return write(new, content, about=about, instrument=instrument, entry=entry, by=by, at=at)


def _matter(
    about: Sale | Inquiry,
    instrument: Instrument,
    given: dict[str, Any],
    *,
    cancels: IssuedPaper | None,
    at: datetime,
) -> Matter:
    """All rows that a paper is made from, read behind the lock."""
    sale = with_rows(Sale.objects.all()).get(pk=about.pk) if isinstance(about, Sale) else None
    piece = pages(Instrument.objects.all(), at=at).get(pk=instrument.pk)
    with in_own():
        shown = listing(piece, waiting=0)
    return Matter(
        listing=shown,
        instrument=piece,
        contact=about.contact,
        shop=the_shop(),
        at=at,
        sale=sale,
        inquiry=about if isinstance(about, Inquiry) else None,
        given=given,
        cancels=cancels,
    )


def _content(new: Version, matter: Matter) -> Content:
    sale = matter.sale.number if matter.sale else ""
    with in_own():
        head = framed(new.kind.label, new.number, new.version, new.replaces, sale=sale, matter=matter)
        return head | BUILDERS[new.kind](matter)
