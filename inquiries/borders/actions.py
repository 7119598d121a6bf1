"""Add a rule, retire one, keep a check."""

import uuid
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.models import Instrument
from inquiries.borders.models import BorderCheck, BorderRule, RetiredRule
from inquiries.borders.rules import Line
from inquiries.sales.models import Sale
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def add_rule(values: dict[str, Any], *, by: User | None, at: datetime) -> BorderRule:
    """Add a rule; it stands as it is for good."""
    rule = BorderRule.objects.create(**values, key=f"added-{uuid.uuid4()}", by=by)
    record(rule, "added", by=by, at=at, new=str(rule))
    return rule


@transaction.atomic
def retire_rule(rule: BorderRule, *, why: str, by: User | None, at: datetime) -> RetiredRule:
    """Try it no longer, and say why; Refused when nobody says, a second press changes nothing."""
    BorderRule.objects.select_for_update().get(pk=rule.pk)
    if before := RetiredRule.objects.filter(rule=rule).first():
        return before
    if not why.strip():
        raise Refused("Say why the rule is retired: a newer text, a mistake in it …", code="no-reason")
    retired = RetiredRule.objects.create(rule=rule, why=why.strip(), by=by, at=at)
    record(rule, "retired", by=by, at=at, old=str(rule), new=why.strip())
    return retired


@transaction.atomic
def keep_check(
    instrument: Instrument,
    sale: Sale | None,
    *,
    inputs: dict[str, str],
    lines: Iterable[Line],
    entry: str,
    by: User | None,
    at: datetime,
) -> BorderCheck:
    """Keep a check as it stands now; the same press again gives the row that is there."""
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if before := BorderCheck.objects.filter(entry=entry, instrument=instrument).first():
        return before
    kept = BorderCheck.objects.create(
        instrument=instrument,
        sale=sale,
        inputs=inputs,
        lines=[line.as_data() for line in lines],
        entry=entry,
        by=by,
        at=at,
    )
    record(instrument, "checked for borders", by=by, at=at, new=str(kept))
    return kept
