"""One row for each part that is examined."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.instruments.models import Instrument, Part
from catalog.originality.actions import NOTHING_FOUND, Found, examine
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts
from shop.staff.models import User

State = Finding.State
NO_EVIDENCE_NEEDED = {State.NOT_EXAMINED, State.UNKNOWN, State.MISSING}


class PartForm(forms.Form):
    """What was found about one part; a row left alone says it has not been examined."""

    state = forms.ChoiceField(choices=State.choices)
    evidence = forms.CharField(label="How we know", max_length=300, required=False)
    note = forms.CharField(label="Note for the buyer", max_length=300, required=False)

    def __init__(self, part: Part, known: Found, data: QueryDict | None) -> None:
        self.part = part
        super().__init__(data, prefix=part.slug, initial=known._asdict())

    def clean(self) -> dict[str, Any]:
        """A state that claims something names its evidence."""
        values = self.cleaned_data
        if values.get("state") not in NO_EVIDENCE_NEEDED and not values.get("evidence") and not self.errors:
            self.add_error("evidence", f"Say how you know it of the part “{self.part.name}”.")
        return values


class PartsForm:
    """All leaf parts of the kind's sheet, in its order, under their headings."""

    template = "desk/stock/parts.html"

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        known = {row.part_id: Found(row.state, row.evidence, row.note) for row in instrument.findings.all()}
        self.rows = [
            PartForm(part, known.get(part.pk, NOTHING_FOUND), data) for part in leaf_parts(instrument)
        ]

    def groups(self) -> Iterator[tuple[str, list[PartForm]]]:
        """Heading ("" for parts without one) and its rows."""
        for heading, rows in groupby(self.rows, key=lambda row: row.part.parent):
            yield heading.name if heading else "", list(rows)

    def is_valid(self) -> bool:
        """Whether every row can be kept."""
        return all(row.is_valid() for row in self.rows)

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Keep the findings that differ."""
        found = {row.part: Found(**row.cleaned_data) for row in self.rows}
        return examine(self.instrument, found, by=by, at=at, revision=revision)
