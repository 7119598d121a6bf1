"""The invented stock."""

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
from catalog.originality.models import Finding
from catalog.pictures.models import Photograph, new_token
from catalog.pricing.models import Acquisition, Cost
from catalog.provenance.models import Provenance
from catalog.publishing.actions import publish, withdraw
from demo_fixtures.clock import Clock
from demo_fixtures.plates import Drawn, Wanted, draw_all, plate_of
from shop.models import User
from shop.units import parse_length, parse_mass

HERE = Path(__file__).resolve().parent
Row = dict[str, Any]


def load_stock(*, owner: User, clock: Clock, say: Callable[[str], object]) -> None:
    """Open every record with all that hangs from it, its pictures drawn, and publish what is public."""
    makers = json.loads((HERE / "makers.json").read_text(encoding="utf-8"))
    _load_makers(makers)
    rows = sorted(_rows(), key=lambda row: int(row["stock"]))
    opened = [(row, _open(row, owner, clock)) for row in rows]
    _load_pictures(opened, owner, clock, say)
    for row, instrument in opened:
        if row["state"] != "draft":
            publish(instrument, by=owner, at=clock.at(row["listed_days_ago"]))
        if row["state"] == "withdrawn":
            withdraw(instrument, by=owner, at=clock.at(row["listed_days_ago"] // 2))


def _rows() -> Iterator[Row]:
    for file in sorted((HERE / "instruments").glob("*.json")):
        found = json.loads(file.read_text(encoding="utf-8"))
        yield from found["instruments"] if isinstance(found, dict) else found


def _load_makers(makers: Any) -> None:
    for row in makers["makers"] if isinstance(makers, dict) else makers:
        maker = Maker.objects.create(
            name=row["name"], town=row.get("town", ""), years=row.get("years", ""), note=row.get("note", "")
        )
        for model in row["models"]:
            Model.objects.create(maker=maker, name=model["name"] if isinstance(model, dict) else model)


def _open(row: Row, owner: User, clock: Clock) -> Instrument:
    kind = Kind.objects.get(slug=row["kind"])
    at = clock.at(row["acquired"]["days_ago"], 16)
    instrument = open_record(kind, by=owner, at=at, stock=int(row["stock"]), **_fields(row, kind))
    _add_findings(row, instrument, owner, clock)
    _add_rows(row, instrument)
    _add_costs(row, instrument, owner, clock)
    return instrument


def _fields(row: Row, kind: Kind) -> Row:
    maker = Maker.objects.filter(name=row.get("maker")).first()
    made = read_date(row["made"]) if row.get("made") else None
    asking = row.get("asking")
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


def _add_findings(row: Row, instrument: Instrument, owner: User, clock: Clock) -> None:
    parts = {part.slug: part for part in instrument.kind.parts.all()}
    for found in row.get("parts", []):
        Finding.objects.create(
            instrument=instrument,
            part=parts[found["part"]],
            state=found["state"],
            evidence=found.get("evidence", ""),
            note=found.get("note", ""),
            examined_by=owner,
            examined_at=clock.at(row["acquired"]["days_ago"] - 1, 10),
        )


def _add_rows(row: Row, instrument: Instrument) -> None:
    for number in row.get("numbers", []):
        FoundNumber.objects.create(instrument=instrument, **number)
    for slug, typed in row.get("measures", {}).items():
        _add_measurement(instrument, instrument.kind.measures.get(slug=slug), str(typed))
    for what in row.get("includes", []):
        Included.objects.create(instrument=instrument, what=what)
    for position, entry in enumerate(row.get("provenance", [])):
        Provenance.objects.create(instrument=instrument, position=position, **entry)


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


def _load_pictures(
    opened: list[tuple[Row, Instrument]], owner: User, clock: Clock, say: Callable[[str], object]
) -> None:
    asked = [(row, instrument, place) for row, instrument in opened for place in range(len(row["pictures"]))]
    wanted = [
        Wanted(instrument.stock_id, plate_of(row), row["pictures"][place]["view"], new_token())
        for row, instrument, place in asked
    ]
    for number, ((row, instrument, place), drawn) in enumerate(
        zip(asked, draw_all(wanted), strict=True), start=1
    ):
        _add_picture(row, instrument, place, drawn, owner, clock)
        if number % 40 == 0 or number == len(wanted):
            say(f"{number} of {len(wanted)} pictures drawn and prepared …")


def _add_picture(
    row: Row, instrument: Instrument, place: int, drawn: Drawn, owner: User, clock: Clock
) -> None:
    picture = row["pictures"][place]
    listed = row.get("listed_days_ago")
    Photograph.objects.create(
        instrument=instrument,
        token=drawn.token,
        original_name=f"{instrument.stock_id}-{picture['view']}.jpg",
        sha256=drawn.original.sha256,
        suffix=drawn.original.suffix,
        bytes=drawn.original.bytes,
        state=Photograph.State.READY,
        width=drawn.prints.width,
        height=drawn.prints.height,
        widths=drawn.prints.widths,
        view=instrument.kind.views.filter(slug=picture["view"]).first(),
        caption=picture.get("caption", ""),
        position=place,
        lead=place == 0,
        received_by=owner,
        received_at=clock.at(listed + 1 if listed is not None else row["acquired"]["days_ago"] - 1, 15),
    )
