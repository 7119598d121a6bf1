"""Rows of a form: what all lists of rows at the desk have in common."""

from typing import Any

from django.forms.models import BaseInlineFormSet


class Rows(BaseInlineFormSet):
    """Rows that can be removed by a tick."""

    def add_fields(self, form: Any, index: int | None) -> None:
        """Name the tick as the desk does."""
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Remove"
