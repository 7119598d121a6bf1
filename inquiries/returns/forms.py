"""Forms of a return."""

from datetime import datetime
from typing import Any

from django import forms

from inquiries.returns.compared import Compared
from inquiries.returns.models import Inspection, InspectionLine, ReturnCall
from inquiries.sales.models import Sale

ALIKE, DIFFERS = "alike", "differs"
ANSWERS = [(ALIKE, "As recorded"), (DIFFERS, "Differs")]
CLOCK = "%Y-%m-%dT%H:%M"


def _instant(label: str, help_text: str) -> forms.DateTimeField:
    return forms.DateTimeField(
        label=label,
        help_text=help_text,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=CLOCK),
    )


def never_delivered(sale: Sale) -> bool:
    """Whether it was sent and the buyer never had it, as far as is recorded."""
    shipment = getattr(sale, "shipment", None)
    return shipment is not None and not hasattr(shipment, "delivery")


class ReturnForm(forms.ModelForm):
    """The buyer's word that it comes back; of what was never delivered, the carrier's or the buyer's."""

    class Meta:
        model = ReturnCall
        fields = ["said_at", "why", "late_reason"]

    said_at = _instant("The buyer said so", "Date and time on the clock of the shop.")

    def __init__(self, *args: Any, sale: Sale, late: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        self.instance.sale = sale
        undelivered = never_delivered(sale)
        if undelivered:
            self.fields["said_at"].label = "Known since"
            self.fields["why"].label = "Refused by the buyer, or returned by the carrier: why"
        if undelivered or (not late and not self.is_bound):
            del self.fields["late_reason"]


class KeepForm(forms.Form):
    """The buyer keeps it after all; what was never delivered goes on to the buyer."""

    why = forms.CharField(label="What the buyer says", max_length=300)

    def __init__(self, *args: Any, sale: Sale, **options: Any) -> None:
        super().__init__(*args, **options)
        if never_delivered(sale):
            self.fields["why"].label = "Why it goes on to the buyer"


class InspectionForm(forms.Form):
    """Each line of the record and each view: as recorded, or what differs. Nothing is assumed."""

    came_at = _instant("It came back", "Date and time on the clock of the shop.")
    rest = forms.BooleanField(
        label="Whatever is not answered above was looked at and is as recorded", required=False
    )
    note = forms.CharField(
        label="Notes", required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=2000
    )

    def __init__(self, data: Any, *, compared: list[Compared], came_at: datetime) -> None:
        super().__init__(data, initial={"came_at": came_at})
        self.compared = compared
        for one in compared:
            self.fields[one.key] = forms.ChoiceField(
                label=one.what, choices=ANSWERS, required=False, widget=forms.RadioSelect
            )
            self.fields[f"{one.key}-note"] = forms.CharField(
                label=f"{one.what}: what differs", required=False, max_length=300
            )

    def rows(self) -> list[tuple[Compared, forms.BoundField, forms.BoundField]]:
        """Each thing to compare with its two fields."""
        return [(one, self[one.key], self[f"{one.key}-note"]) for one in self.compared]

    def clean(self) -> dict[str, Any]:
        """What differs is said; what is not answered is an error, unless the rest is as recorded."""
        given = super().clean() or self.cleaned_data
        for one in self.compared:
            answer, note = given.get(one.key, ""), given.get(f"{one.key}-note", "")
            if answer == DIFFERS and not note:
                self.add_error(f"{one.key}-note", forms.ValidationError("Say what differs.", code="required"))
            if answer != DIFFERS and note:
                self.add_error(one.key, forms.ValidationError("Mark it as “Differs”.", code="unmarked"))
        if any(not given.get(one.key) for one in self.compared) and not given.get("rest"):
            self.add_error(
                "rest",
                forms.ValidationError(
                    "Some lines are not answered. Answer them, or say that the rest is as recorded.",
                    code="unanswered",
                ),
            )
        return given

    def lines(self) -> list[InspectionLine]:
        """The lines as the deed takes them, unsaved."""
        given = self.cleaned_data
        return [
            InspectionLine(
                what=one.what[:120],
                recorded=one.recorded[:300],
                photograph=one.photograph,
                alike=given.get(one.key) != DIFFERS,
                note=given.get(f"{one.key}-note", ""),
            )
            for one in self.compared
        ]

    def inspection(self, sale: Sale) -> Inspection:
        """The inspection as the deed takes it, unsaved."""
        return Inspection(sale=sale, came_at=self.cleaned_data["came_at"], note=self.cleaned_data["note"])
