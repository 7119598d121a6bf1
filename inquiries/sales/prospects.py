"""What a hold asked for now would come to, before it is asked for."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, QuerySet

from catalog.models import Instrument
from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.models import Sale
from inquiries.sales.queries import holds_in_force, open_sale_of
from inquiries.sales.rules import chain, place_in_queue
from inquiries.sales.telling import Row, row_of


@dataclass(frozen=True)
class Standing:
    """Who has an instrument at an instant, and who waits: the running hold or the open sale, then the queue."""

    at: datetime
    running: Hold | None
    sale: Sale | None
    queue: list[Hold]

    @property
    def promised(self) -> list[Hold]:
        """Every hold that stands, the running one first."""
        return [*([self.running] if self.running else []), *self.queue]

    @property
    def rows(self) -> list[Row]:
        """Each of them with what its person was told."""
        return [row_of(hold, at=self.at) for hold in self.promised]

    def place_of(self, hold: Hold) -> int:
        """Where a hold stands in the queue, from one on; nought for the one that runs."""
        return self.queue.index(hold) + 1 if hold in self.queue else 0

    def of(self, contact_id: int) -> Hold | None:
        """The hold a person already has, if any."""
        return next((hold for hold in self.promised if hold.contact_id == contact_id), None)

    @property
    def place(self) -> str:
        """Where somebody who asks now would stand in the queue; empty when it is theirs at once."""
        return place_in_queue(len(self.queue) + 1) if self.running or self.sale else ""

    def span(self, hours: int) -> tuple[datetime | None, datetime | None]:
        """From when until when a hold of `hours` asked for now would run; neither is known behind a sale."""
        if self.sale:
            return None, None
        last = self.promised[-1].until if self.promised else None
        return chain(last or self.at, [hours])[0]


def standing_of(instrument: Instrument, *, at: datetime) -> Standing:
    """How holds and sale of `instrument` stand at `at`, whether or not the books are brought up to it.

    Three queries: the sale, the holds, and what their people were told. A hold whose end has come is left out; of the
    others the one whose span has begun runs.
    """
    sale = open_sale_of(instrument)
    holds = [
        hold
        for hold in with_notices(holds_in_force().filter(instrument=instrument))
        if hold.until is None or hold.until > at
    ]
    running = next((hold for hold in holds if hold.starts_at and hold.starts_at <= at), None)
    return Standing(at, running, sale, [hold for hold in holds if hold is not running])


def with_notices(holds: QuerySet[Hold]) -> QuerySet[Hold]:
    """Holds with what their people were told, in one query more."""
    notices = HoldNotice.objects.select_related("message", "by")
    return holds.prefetch_related(Prefetch("notices", queryset=notices))
