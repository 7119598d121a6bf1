"""Rows of a form: what all lists of rows at the desk have in common."""

from typing import Any

from django.forms import TypedChoiceField
from django.forms.models import BaseInlineFormSet


class Rows(BaseInlineFormSet):
    """Rows that can be removed by a tick."""

    def add_fields(self, form: Any, index: int | None) -> None:
        """Name the tick, and the choice not made yet, as the desk does."""
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Remove"
        for field in form.fields.values():
            if isinstance(field, TypedChoiceField):
                choices: Any = field.choices
                field.choices = [(key, word if key else "Choose") for key, word in choices]
