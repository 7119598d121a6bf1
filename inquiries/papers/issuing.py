"""Issue a paper: its number, all that stands on it, and the job that makes its file."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.models import Instrument
from catalog.public.queries import pages
from catalog.public.shown.listing import listing
from inquiries.papers.content_bill import bill
from inquiries.papers.content_common import Content, Matter, day_at, framed
from inquiries.papers.content_customs import customs
from inquiries.papers.content_invoice import invoice
from inquiries.papers.content_packing import packing
from inquiries.papers.content_plan import plan
from inquiries.papers.content_quotation import quotation
from inquiries.papers.content_return import return_note
from inquiries.papers.content_statement import statement
from inquiries.papers.filing import make_file
from inquiries.papers.models import IssuedPaper
from inquiries.papers.rules import digest, number_of, replaces, series_of
from inquiries.sales.models import Sale
from inquiries.sales.queries import with_rows
from inquiries.threads.models import Inquiry
from shop.history.actions import record
from shop.numbers.actions import next_number
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
    old = _standing(kind, about, cancels, reason)
    matter = _matter(about, instrument, given or {}, at=at)
    number, version = (old.number, old.version + 1) if old else (_next(kind, at), 1)
    content = _content(Kind(kind), matter, number, version, old, reason)
    paper = IssuedPaper.objects.create(
        kind=kind,
        number=number,
        version=version,
        cancels=old,
        reason=reason.strip() if old else "",
        instrument=instrument,
        sale=about if isinstance(about, Sale) else None,
        inquiry=about if isinstance(about, Inquiry) else None,
        content=content,
        sha256=digest(content),
        entry=entry,
        by=by,
        at=at,
    )
    record(
        about,
        "paper made anew" if old else "paper made",
        by=by,
        at=at,
        field=paper.get_kind_display(),
        new=paper,
    )
    make_file.enqueue(at=at, key=f"paper {paper.pk}", paper=paper.pk)
    return paper


def _standing(kind: str, about: Sale | Inquiry, cancels: int | None, reason: str) -> IssuedPaper | None:
    """The version that stands, which a new one cancels; refused where the press does not name it."""
    of = {"sale": about} if isinstance(about, Sale) else {"inquiry": about}
    last = IssuedPaper.objects.filter(kind=kind, **of).order_by("version").last()
    if last is None and cancels is None:
        return None
    if last is None or cancels is None:
        raise Refused(
            f"{last} is there already. Make it anew, with the reason."
            if last
            else "There is no version to replace.",
            code="issued",
        )
    if last.version != cancels:
        raise Refused(
            f"Version {last.version} of it was made meanwhile. Look at it, and make it anew if it is still wrong.",
            code="other-version",
        )
    if not reason.strip():
        raise Refused("Write why it is made anew: the new version says so.", code="no-reason")
    return last


def _matter(about: Sale | Inquiry, instrument: Instrument, given: dict[str, Any], *, at: datetime) -> Matter:
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
    )


def _next(kind: str, at: datetime) -> str:
    year = at.astimezone(the_shop().zone).year
    return number_of(kind, year, next_number(series_of(kind, year)))


def _content(
    kind: Kind, matter: Matter, number: str, version: int, old: IssuedPaper | None, reason: str
) -> dict[str, Any]:
    said = (
        replaces(kind.label, number, old.version, day_at(old.at, matter.shop), reason.strip()) if old else ""
    )
    sale = matter.sale.number if matter.sale else ""
    with in_own():
        return framed(kind.label, number, version, said, sale=sale, matter=matter) | BUILDERS[kind](matter)
