"""A return note: what the buyer said, how it was found against its record, and what that came to."""

from decimal import Decimal

from inquiries.papers.content_common import (
    Content,
    Matter,
    Row,
    account,
    addressed,
    moment_at,
    money,
    note_of,
    piece,
    standing,
)
from inquiries.returns.models import Inspection, ReturnCall
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.queries import facts_of
from shop.refusal import Refused

Kind = LedgerRow.Kind
CAME_OF_IT = [Kind.RESTOCKING, Kind.REFUND, Kind.TO_CREDIT]


def return_note(matter: Matter) -> Content:
    """What stands on it. Refused until the piece is back and was looked at."""
    sale = matter.sold
    call = sale.return_calls.filter(dropped=None).order_by("at", "pk").last()
    if call is None:
        raise Refused("No return is announced on this sale.", code="no-return")
    inspection = Inspection.objects.filter(sale=sale).prefetch_related("lines").first()
    if inspection is None:
        raise Refused(
            "It has not been looked at yet. Compare it with its record when it is back; then the note can be made.",
            code="no-inspection",
        )
    rows = list(sale.rows.all())
    return {
        "to": addressed("Returned by", matter),
        "piece": piece("Came back", matter),
        "facts": [[name, told] for name, told in _facts(matter, call, inspection) if told],
        "rows": [
            [line.what, line.recorded or "Not written down", "Alike" if line.alike else line.note]
            for line in inspection.lines.all()
        ],
        "lines": [_line(row) for row in standing(rows) if row.kind in CAME_OF_IT],
        "sums": account(rows, sale.currency),
    }


def _facts(matter: Matter, call: ReturnCall, inspection: Inspection) -> list[tuple[str, str]]:
    shop, facts = matter.shop, facts_of(matter.sold)
    return [
        (
            "Delivered",
            moment_at(facts.delivered_at, shop) if facts.delivered_at else "Never: it came back undelivered",
        ),
        ("Approval until", moment_at(facts.approval_until, shop) if facts.approval_until else ""),
        ("Return announced", moment_at(call.said_at, shop)),
        ("What was said", call.why),
        ("Taken back though late", call.late_reason),
        ("Came back", moment_at(inspection.came_at, shop)),
        ("Found", inspection.get_verdict_display()),
    ]


def _line(row: LedgerRow) -> Row:
    """A fee as it is; money that went back as what it is, without a sign."""
    told = ", ".join(filter(None, [row.get_method_display(), note_of(row)]))
    return [row.get_kind_display(), told, money(abs(row.amount) + Decimal(0), row.currency)]
