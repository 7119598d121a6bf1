"""Sections that are a list of rows, and the two plainest of them: numbers, what comes with it."""

from datetime import datetime
from typing import Any, ClassVar

from django.forms.models import BaseInlineFormSet, inlineformset_factory
from django.http import QueryDict

from catalog.desk.forms.formsets import Rows
from catalog.instruments.actions import change_rows
from catalog.instruments.models import FoundNumber, Included, Instrument
from shop.staff.models import User

SPARE = 3

NumberRows = inlineformset_factory(
    Instrument, FoundNumber, formset=Rows, fields=["what", "value", "where", "legibility"], extra=SPARE
)
IncludedRows = inlineformset_factory(Instrument, Included, formset=Rows, fields=["what"], extra=SPARE)


class RowsForm:
    """Rows of one relation; an untouched spare row is no row. `anchor` names the rows for links from elsewhere."""

    template = "desk/stock/rows.html"
    relation: ClassVar[str]
    anchor: ClassVar[str] = ""
    formset: ClassVar[type[BaseInlineFormSet]]

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        self.rows = self.formset(
            data, instance=instrument, prefix=self.relation, initial=self.spare_initial(instrument)
        )

    def spare_initial(self, instrument: Instrument) -> list[dict[str, Any]]:
        """What stands in the spare rows."""
        return []

    def is_valid(self) -> bool:
        """Whether every row can be kept."""
        return self.rows.is_valid()

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Add, change and remove rows; one history entry with the rows before and after."""
        return change_rows(self.instrument, self.relation, self.rows.save, by=by, at=at, revision=revision)


class NumbersForm(RowsForm):
    """Numbers found on the instrument."""

    relation = "numbers"
    formset = NumberRows


class IncludedForm(RowsForm):
    """What comes with it."""

    relation = "included"
    formset = IncludedRows
