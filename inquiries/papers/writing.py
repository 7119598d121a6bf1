"""Write a paper down: which number and version it has, and the row that stands for good."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.models import Instrument
from inquiries.papers.content_common import Content, day_at
from inquiries.papers.filing import make_file
from inquiries.papers.models import IssuedPaper
from inquiries.papers.rules import digest, number_of, replaces, series_of
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.threads.models import Inquiry
from shop.history.actions import record
from shop.numbers.actions import next_number
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.signs import all_readable
from shop.staff.models import User

Kind = IssuedPaper.Kind


@dataclass(frozen=True)
class Version:
    """The number and the version that a paper will have. `old` is the version that it cancels, with the reason."""

    kind: IssuedPaper.Kind
    number: str
    version: int
    old: IssuedPaper | None
    reason: str

    @property
    def replaces(self) -> str:
        """What it says of the version that it takes the place of."""
        if self.old is None:
            return ""
        day = day_at(self.old.at, the_shop())
        return replaces(self.kind.label, self.number, self.old.version, day, self.reason)


def next_version(kind: str, *, cancels: int | None, reason: str, at: datetime, **of: Any) -> Version:
    """The first version under the next number of the year; or, of a paper that is there (`of`), its next version.

    Raises Refused where the press does not name the version that stands, or says no reason.
    """
    reason, last = reason.strip(), IssuedPaper.objects.filter(kind=kind, **of).order_by("version").last()
    if last is None and cancels is None:
        year = at.astimezone(the_shop().zone).year
        number = number_of(kind, year, next_number(series_of(kind, year)))
        return Version(Kind(kind), number, 1, None, "")
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
    if not reason:
        raise Refused("Write why it is made anew: the new version says so.", code="no-reason")
    return Version(Kind(kind), last.number, last.version + 1, last, reason)


def write(
    new: Version,
    content: Content,
    *,
    about: Sale | Inquiry,
    instrument: Instrument,
    entry: str,
    by: User | None,
    at: datetime,
    row: LedgerRow | None = None,
) -> IssuedPaper:
    """Add the row of a paper with its hash, tell the history of what it is about, and order its file.

    Signs that are no letters are left out first, since no page could be made with them.
    """
    content = all_readable(content)
    paper = IssuedPaper.objects.create(
        kind=new.kind,
        number=new.number,
        version=new.version,
        cancels=new.old,
        reason=new.reason,
        content=content,
        sha256=digest(content),
        entry=entry,
        by=by,
        at=at,
        instrument=instrument,
        sale=about if isinstance(about, Sale) else None,
        inquiry=about if isinstance(about, Inquiry) else None,
        row=row,
    )
    verb = "paper made anew" if new.old else "paper made"
    record(about, verb, by=by, at=at, field=new.kind.label, new=paper)
    make_file.enqueue(at=at, key=f"paper {paper.pk}", paper=paper.pk)
    return paper
