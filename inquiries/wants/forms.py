"""The public form that remembers a wish."""

from datetime import datetime
from typing import Any

from django import forms

from inquiries.threads.forms import OpenForm
from shop.wording import gettext_lazy as _

NOTHING_YET = 0  # a wish is about no instrument that is here


class WantForm(OpenForm):
    """What somebody seeks, in their words, and the choices they had made in the catalogue."""

    sought = forms.CharField(
        label=_("What you seek"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Please write what you seek.")},
    )
    narrowing = forms.CharField(required=False, max_length=600, widget=forms.HiddenInput)

    field_order = ("sought", "name", "email")

    def __init__(self, data: Any = None, *, at: datetime, sought: str = "", narrowing: str = "") -> None:
        super().__init__(
            data, about=NOTHING_YET, at=at, prefix="want", sought=sought, narrowing=narrowing[:600]
        )
