"""Rows that are struck off where others are removed, and the reason that confirms it."""

from datetime import datetime
from functools import cached_property
from typing import Any, ClassVar

from django import forms

from catalog.desk.forms.formsets import Rows
from catalog.instruments.models import Instrument
from catalog.striking.actions import strike
from catalog.striking.queries import struck_of
from shop.staff.models import User


class StrikingRows(Rows):
    """Rows whose tick strikes them off; `striking` says by whom and when, before they are saved."""

    striking: tuple[User, datetime]

    def add_fields(self, form: Any, index: int | None) -> None:
        """Name the tick."""
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Strike off"

    def delete_existing(self, obj: Any, commit: bool = True) -> None:
        """Strike it off, as it stood before anything was typed into it."""
        by, at = self.striking
        strike(obj, by=by, at=at)


class ConfirmForm(forms.Form):
    """Why a row was rightly struck off."""

    reason = forms.CharField(
        label="Why it is rightly struck off",
        max_length=300,
        help_text="Such as: entered for another piece by mistake. It is kept.",
        error_messages={"required": "Say why, since this is kept: entered for another piece by mistake …"},
    )

    def __init__(self, row: Any, data: Any = None) -> None:
        self.row = row
        super().__init__(data, prefix=f"struck-{row.pk}")


class StruckOff:
    """For the form of a section: what was struck off it, each with the form that confirms it."""

    instrument: Instrument
    relation: ClassVar[str]
    confirming: ConfirmForm | None = None

    @cached_property
    def struck(self) -> list[tuple[Any, ConfirmForm]]:
        """The last one first; the form as it was sent, where one came back."""
        sent = self.confirming
        return [
            (row, sent if sent and sent.row.pk == row.pk else ConfirmForm(row))
            for row in struck_of(self.instrument, self.relation)
        ]

    @property
    def struck_waiting(self) -> bool:
        """Whether one of them waits for the owner's reason."""
        return any(row.confirmed_at is None for row, _form in self.struck)
