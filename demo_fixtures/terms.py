"""On what terms the invented consignors have left their pieces, and what is out for repair."""

import json
import uuid
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

from catalog.instruments.models import Instrument
from catalog.pricing.agreement_actions import add_agreement
from catalog.pricing.share_rules import Tier
from catalog.pricing.work_actions import give_out, take_back
from demo_fixtures.clock import Clock
from shop.models import User

HERE = Path(__file__).resolve().parent
Row = dict[str, Any]
OF_THE_LOADER = {"stock", "days_ago", "ends_in", "tiers", "least", "reserve"}


def load_terms(pieces: Mapping[int, Instrument], *, owner: User, clock: Clock) -> None:
    """Write down the agreements and the jobs, each by its deed on its day."""
    rows = json.loads((HERE / "terms.json").read_text(encoding="utf-8"))
    for row in rows["agreements"]:
        _agree(row, pieces[row["stock"]], owner, clock)
    for row in rows["works"]:
        _work(row, pieces[row["stock"]], owner, clock)


def _agree(row: Row, piece: Instrument, owner: User, clock: Clock) -> None:
    add_agreement(
        piece,
        [Tier(Decimal(above), Decimal(percent)) for above, percent in row["tiers"]],
        entry=uuid.uuid4(),
        starts=clock.day(row["days_ago"]),
        ends=clock.day(-row["ends_in"]) if "ends_in" in row else None,
        least=Decimal(row.get("least", 0)),
        reserve=Decimal(row["reserve"]) if "reserve" in row else None,
        by=owner,
        at=clock.at(row["days_ago"], 15),
        **{name: value for name, value in row.items() if name not in OF_THE_LOADER},
    )


def _work(row: Row, piece: Instrument, owner: User, clock: Clock) -> None:
    estimate = Decimal(row["estimate"]) if "estimate" in row else None
    job = give_out(
        piece,
        row["kind"],
        row["what"],
        who=row["who"],
        begun_on=clock.day(row["days_ago"]),
        estimate=estimate,
        entry=uuid.uuid4(),
        by=owner,
        at=clock.at(row["days_ago"], 10),
    )
    if "outcome" in row:
        take_back(
            job,
            done_on=clock.day(row["back_days_ago"]),
            outcome=row["outcome"],
            cost=None,
            by=owner,
            at=clock.at(row["back_days_ago"], 10),
        )
