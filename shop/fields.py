"""Fields of forms that any room may use."""

from typing import Any

from django import forms

from shop.signs import readable


class WordsField(forms.CharField):
    """Words as a person writes them: control signs, and marks that turn a line round, are left out."""

    def to_python(self, value: Any) -> str | None:
        """The words, looked at for being empty afterwards."""
        return super().to_python(readable(value) if isinstance(value, str) else value)
