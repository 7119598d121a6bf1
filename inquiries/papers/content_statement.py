"""The statement for a consignor, from what the consignment reckons."""

from decimal import Decimal
from itertools import chain

from inquiries.papers.content_common import Content, Matter, Row, money, spoken_day
from inquiries.sales.statement import Statement, statement_of
from shop.refusal import Refused


def statement(matter: Matter) -> Content:
    """What stands on it: for the consignor, never for the buyer. Refused before the sale is closed."""
    sale = matter.sold
    told = statement_of(sale)
    if told is None:
        raise Refused("The piece was not on consignment, so nobody is owed a share.", code="not-consigned")
    if sale.outcome != sale.Outcome.CLOSED:
        raise Refused(
            "The consignor’s statement is made when the sale is closed: until then the piece may come back.",
            code="not-closed",
        )
    return {
        "to": {"label": "For", "name": told.consignor, "address": told.consignor_contact},
        "piece": {"label": "Sold for you", "name": f"No. {told.stock}: {told.piece}", "facts": []},
        "lines": list(chain([["Price charged", f"Sale {told.sale}", _m(told.price, told)]], _taken(told))),
        "sums": _sums(told),
        "facts": [[name, value] for name, value in _facts(told) if value],
        "notes": _notes(told),
    }


def _m(amount: Decimal, told: Statement) -> str:
    return money(amount, told.currency)


def _taken(told: Statement) -> list[Row]:
    """The commission with how it was counted, and each cost that the consignor bears."""
    if told.by_least:
        how = f"The least commission agreed; by the rates it would be {_m(told.by_rate, told)}"
    else:
        how = "\n".join(f"{part.percent.normalize():f} % of {_m(part.amount, told)}" for part in told.parts)
    rows: list[Row] = [["Commission", how, _m(-told.commission, told)]]
    rows += [[cost.what, spoken_day(cost.on), _m(-cost.amount, told)] for cost in told.costs]
    if told.not_covered:
        rows.append(["Not covered by the price", "", _m(told.not_covered, told)])
    return rows


def _sums(told: Statement) -> list[Row]:
    if told.paid is None:
        return [["Your share", _m(told.share, told)]]
    return [
        ["Your share", _m(told.share, told)],
        ["Paid", _m(told.paid, told)],
        ["Left to be paid", _m(told.left_to_pay, told)],
    ]


def _facts(told: Statement) -> list[tuple[str, str]]:
    def day(on: object) -> str:
        return spoken_day(on) if on else ""  # type: ignore[arg-type]

    return [
        ("Agreed on", day(told.agreed_on)),
        (
            "Commission counted on",
            f"{_m(told.counted_on, told)}, {'net of costs' if told.net else 'the price as paid'}",
        ),
        ("Sale opened", day(told.opened_on)),
        ("Approval over", day(told.approval_over_on)),
        ("Sale closed", day(told.closed_on)),
        ("To be paid by", day(told.due_on) if told.paid is None else ""),
        ("Paid on", f"{day(told.paid_on)}, {told.paid_how.lower()}" if told.paid_on else ""),
    ]


def _notes(told: Statement) -> list[str]:
    notes = ["The buyer is not named to you, nor you to the buyer."]
    if told.not_covered:
        notes.append(
            "The costs that you bear came to more than was left of the price; nothing is asked of you here."
        )
    return notes
