"""The double entry of sales that were there before it: every row, clearing, closing and payout gets its postings."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from inquiries.sales import posting_rules as rules


def write_postings(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Of each sale that has none."""
    posting = apps.get_model("inquiries", "Posting")
    for sale in apps.get_model("inquiries", "Sale").objects.filter(postings__isnull=True):
        posting.objects.bulk_create(
            posting(sale=sale, currency=sale.currency, at=at, **entry._asdict(), **cause)
            for at, cause, entries in _happened(apps, sale)
            for entry in entries
        )


def _happened(apps: Apps, sale: Any) -> list[tuple[Any, dict[str, Any], list[rules.Entry]]]:
    rows = list(sale.rows.order_by("at", "pk"))
    cleared = {
        each.row_id: each for each in apps.get_model("inquiries", "Clearing").objects.filter(row__sale=sale)
    }
    whole = {row.pk: row for row in rows}
    found = []
    for row in rows:
        undone = whole.get(row.reverses_id)
        entries = (
            _of_row(row)
            if undone is None
            else rules.opposite(_of_row(undone) + _of_clearing(undone, cleared))
        )
        found.append((row.at, {"row": row}, entries))
    found += [
        (clearing.at, {"clearing": clearing}, _of_clearing(whole[key], cleared))
        for key, clearing in cleared.items()
    ]
    return found + _of_end(apps, sale, rows)


def _of_row(row: Any) -> list[rules.Entry]:
    return rules.of_row(row.kind, row.method, rules.in_minor(row.amount, row.currency))


def _of_clearing(row: Any, cleared: dict[int, Any]) -> list[rules.Entry]:
    if row.pk not in cleared:
        return []
    booked = cleared[row.pk].amount
    return rules.of_clearing(
        row.method,
        rules.in_minor(-row.amount, row.currency),
        None if booked is None else rules.in_minor(booked, row.currency),
    )


def _of_end(apps: Apps, sale: Any, rows: list[Any]) -> list[tuple[Any, dict[str, Any], list[rules.Entry]]]:
    """The share of a consignor at the closing, by the flat commission that there was, and what was paid of it."""
    if sale.outcome != "closed":
        return []
    kinds = {row.pk: row.kind for row in rows}
    of_price = [row for row in rows if kinds.get(row.reverses_id, row.kind) in {"price", "credit"}]
    acquisition = (
        apps.get_model("catalog", "Acquisition").objects.filter(instrument=sale.instrument_id).first()
    )
    share = _share(
        sum((row.amount for row in of_price), Decimal(0)),
        acquisition.commission_percent if acquisition else None,
    )
    owed = rules.in_minor(share, sale.currency)
    found: list[tuple[Any, dict[str, Any], list[rules.Entry]]] = [(sale.ended_at, {}, rules.of_closing(owed))]
    for payout in apps.get_model("inquiries", "Payout").objects.filter(sale=sale):
        paid = rules.in_minor(payout.amount, payout.currency)
        found.append((payout.at, {"payout": payout}, rules.of_payout(payout.method, paid, owed)))
    return found


def _share(price: Decimal, commission_percent: Decimal | None) -> Decimal:
    """The price less the commission, to the cent, half a cent rounded up; nothing of a piece that was bought."""
    if commission_percent is None:
        return Decimal(0)
    return price - (price * commission_percent / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0017_cartons_as_measured"), ("catalog", "0013_consignment_and_work")]
    operations = [migrations.RunPython(write_postings, migrations.RunPython.noop)]
