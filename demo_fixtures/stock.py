"""The invented stock.

Three pieces are there to be looked at because something in them does not agree:
stock no. 1047: its rim number says 1922 and the patent date on its hoop not before 1924, so its date is a span;
stock no. 1033: two entries of its provenance overlap, by the orchestra's cash book and by the driver's son;
stock no. 1058: a draft that claims to be all original while its parts say otherwise, so it cannot be published.
"""

import json
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

from catalog.dating.reading import read_date
from catalog.instruments.actions import open_record
from catalog.instruments.models import (
    FoundNumber,
    Included,
    Instrument,
    Kind,
    Maker,
    Measure,
    Measurement,
    Model,
)
from catalog.pricing.models import Acquisition, Cost
from catalog.publishing.actions import publish, withdraw
from demo_fixtures.clock import Clock
from demo_fixtures.evidence import load_evidence
from demo_fixtures.makers import load_makers
from demo_fixtures.papers import load_papers
from demo_fixtures.photographs import load_pictures
from demo_fixtures.recordings import load_recordings
from demo_fixtures.terms import load_terms
from demo_fixtures.words import load_answers, load_spoken_lines
from shop.models import User
from shop.units import parse_length, parse_mass

HERE = Path(__file__).resolve().parent
Row = dict[str, Any]


def load_stock(*, owner: User, clock: Clock, say: Callable[[str], object]) -> None:
    """Open every record with all that hangs from it, its pictures drawn, and publish what is public."""
    load_makers(json.loads((HERE / "makers.json").read_text(encoding="utf-8")), owner=owner, clock=clock)
    rows = sorted(_rows(), key=lambda row: int(row["stock"]))
    opened = [(row, _open(row, owner, clock)) for row in rows]
    load_terms({row["stock"]: piece for row, piece in opened}, owner=owner, clock=clock)
    load_pictures(opened, owner=owner, clock=clock, say=say)
    for row, instrument in opened:
        papers = load_papers(row, instrument, owner=owner, clock=clock)
        load_evidence(row, instrument, papers, owner=owner, clock=clock)
        load_answers(row, instrument, owner=owner, clock=clock)
        load_spoken_lines(row, instrument, owner=owner, clock=clock)
        load_recordings(row, instrument, owner=owner, clock=clock)
        _publish(row, instrument, owner, clock)


def _publish(row: Row, instrument: Instrument, owner: User, clock: Clock) -> None:
    if row["state"] != "draft":
        publish(instrument, by=owner, at=clock.at(row["listed_days_ago"]))
    if row["state"] == "withdrawn":
        withdraw(instrument, by=owner, at=clock.at(row["listed_days_ago"] // 2))


def _rows() -> Iterator[Row]:
    for file in sorted((HERE / "instruments").glob("*.json")):
        found = json.loads(file.read_text(encoding="utf-8"))
        yield from found["instruments"] if isinstance(found, dict) else found


def _open(row: Row, owner: User, clock: Clock) -> Instrument:
    kind = Kind.objects.get(slug=row["kind"])
    at = clock.at(row["acquired"]["days_ago"], 16)
    instrument = open_record(kind, by=owner, at=at, stock=int(row["stock"]), **_fields(row, kind))
    _add_rows(row, instrument)
    _add_costs(row, instrument, owner, clock)
    return instrument


def _fields(row: Row, kind: Kind) -> Row:
    maker = Maker.objects.filter(name=row.get("maker")).first()
    made = read_date(row["made"]) if row.get("made") else None
    asking = row.get("asking")
    converted = row.get("conversion", {})
    configurations = {one.slug: one for one in kind.configurations.all()}
    return {
        "maker": maker,
        "model": Model.objects.filter(maker=maker, name=row.get("model")).first(),
        "made": row.get("made") or "",
        "made_edtf": made.edtf if made else "",
        "made_earliest": made.earliest if made else None,
        "made_latest": made.latest if made else None,
        "made_evidence": row.get("made_evidence") or "",
        "configuration_made": configurations.get(row.get("configuration_made") or ""),
        "configuration_now": configurations.get(row.get("configuration_now") or ""),
        "convertible_back": converted.get("back", ""),
        "conversion_when": converted.get("when", ""),
        "conversion_note": converted.get("note", ""),
        "grade": row.get("condition_grade") or "",
        "condition": row.get("condition") or "",
        "setup": row.get("setup") or "",
        "story": _text(row.get("story")),
        "asking_price": Decimal(str(asking)) if asking is not None else None,
        "price_on_request": asking is None and row["state"] != "draft",
        "floor_price": Decimal(str(row["floor"])) if row.get("floor") else None,
    }


def _text(value: Any) -> str:
    return "\n\n".join(value) if isinstance(value, list) else value or ""


def _add_rows(row: Row, instrument: Instrument) -> None:
    for number in row.get("numbers", []):
        FoundNumber.objects.create(instrument=instrument, **number)
    for slug, typed in row.get("measures", {}).items():
        _add_measurement(instrument, instrument.kind.measures.get(slug=slug), str(typed))
    for what in row.get("includes", []):
        Included.objects.create(instrument=instrument, what=what)


def _add_measurement(instrument: Instrument, measure: Measure, typed: str) -> None:
    amount, unit, word = None, "", ""
    if measure.quantity == Measure.Quantity.LENGTH:
        amount, unit = parse_length(typed).stored
    elif measure.quantity == Measure.Quantity.MASS:
        amount, unit = parse_mass(typed).stored
    elif measure.quantity == Measure.Quantity.COUNT:
        amount, unit = int(typed), "count"
    else:
        word = typed
    Measurement.objects.create(instrument=instrument, measure=measure, amount=amount, unit=unit, word=word)


def _add_costs(row: Row, instrument: Instrument, owner: User, clock: Clock) -> None:
    acquired = row["acquired"]
    percent = acquired.get("commission_percent")
    Acquisition.objects.create(
        instrument=instrument,
        how=acquired["how"],
        seller=acquired["seller"],
        seller_contact=acquired.get("seller_contact", ""),
        on=clock.day(acquired["days_ago"]),
        commission_percent=Decimal(str(percent)) if percent is not None else None,
    )
    for cost in row.get("costs", []):
        Cost.objects.create(
            instrument=instrument,
            kind=cost["kind"],
            amount=Decimal(str(cost["amount"])),
            currency=instrument.currency,
            on=clock.day(cost["days_ago"]),
            note=cost.get("note", ""),
            by=owner,
            at=clock.at(cost["days_ago"], 17),
        )
