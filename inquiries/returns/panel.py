"""What the page of a sale shows of a return."""

from datetime import datetime
from typing import Any

from catalog.models import Instrument
from inquiries.returns.forms import KeepForm, ReturnForm
from inquiries.returns.models import Inspection
from inquiries.sales.models import Sale
from inquiries.sales.queries import standing_call
from inquiries.sales.rules import SaleFacts, Stage, Step, allowed, stage
from shop.staff.models import User


def returns_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """The word of the buyer, what was found, and the form that may be used now; nothing before a parcel has gone, or a
    piece that was fetched was delivered."""
    if facts.delivered_at is None and not (facts.shipped_at and sale.shipment.carrier):
        return None
    now, inspection = stage(facts, at=at), getattr(sale, "inspection", None)
    return {
        "undelivered": facts.delivered_at is None,
        "return_calls": list(sale.return_calls.all()),
        "standing_call": standing_call(sale),
        "inspection": inspection,
        "off_the_listing": inspection is not None
        and inspection.verdict == Inspection.Verdict.DIFFERS
        and sale.instrument.state == Instrument.State.DRAFT,
        "inspection_lines": list(inspection.lines.select_related("photograph")) if inspection else [],
        "return_form": _announcing(sale, facts, at),
        "keep_form": KeepForm(sale=sale) if now == Stage.COMING_BACK else None,
        "may_inspect": now == Stage.COMING_BACK,
    }


def _announcing(sale: Sale, facts: SaleFacts, at: datetime) -> ReturnForm | None:
    if not allowed(Step.ANNOUNCE, facts, at=at):
        return None
    late = stage(facts, at=at) == Stage.APPROVED
    return ReturnForm(sale=sale, late=late, initial={"said_at": at}, auto_id="id_return_%s")
