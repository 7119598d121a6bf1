"""The week in seven rows of up to two spans each, and closed days."""

from collections.abc import Iterator, Mapping
from datetime import date, time
from typing import Any

from django import forms

from shop.hours.rules import Span
from shop.profile.models import OpenHours

Weekday = OpenHours.Weekday
SPANS = ((1, "Opens", "Closes"), (2, "Opens again", "Closes again"))


def _hour(label: str) -> forms.TimeField:
    return forms.TimeField(
        label=label, required=False, widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )


class WeekForm(forms.Form):
    """When the shop is open, weekday by weekday. A row left empty is a day on which it is closed."""

    def __init__(
        self, data: Any = None, *, known: Mapping[int, tuple[Span, ...]] | None = None, **options: Any
    ) -> None:
        super().__init__(data, **options)
        for weekday in Weekday:
            spans = (known or {}).get(weekday, ())
            for number, opens, closes in SPANS:
                kept: tuple[time | None, time | None] = (
                    spans[number - 1] if number <= len(spans) else (None, None)
                )
                for name, label, value in zip(("opens", "closes"), (opens, closes), kept, strict=True):
                    field = _hour(label)
                    field.initial = value
                    self.fields[f"{name}_{weekday.value}_{number}"] = field

    def rows(self) -> Iterator[tuple[str, list[forms.BoundField]]]:
        """Each weekday with its fields in order."""
        for weekday in Weekday:
            yield weekday.label, [self[name] for name in _names(weekday)]

    def clean(self) -> dict[str, Any]:
        """Each span has both its ends, in order, and the second begins after the first."""
        values = super().clean() or self.cleaned_data
        for weekday in Weekday:
            self._look_at(weekday)
        return values

    def _look_at(self, weekday: Weekday) -> None:
        before: time | None = None
        for number, _, _ in SPANS:
            opens_name, closes_name = (f"{end}_{weekday.value}_{number}" for end in ("opens", "closes"))
            if {opens_name, closes_name} & set(self.errors):
                return
            opens, closes = self.cleaned_data.get(opens_name), self.cleaned_data.get(closes_name)
            if opens is None and closes is None:
                continue
            if opens is None or closes is None:
                missing, end = (opens_name, "opens") if opens is None else (closes_name, "closes")
                self.add_error(missing, f"Write when the shop {end} on {weekday.label} as well.")
            elif closes <= opens:
                self.add_error(closes_name, "This is not after the opening. Midnight is written as 23:59.")
            elif before and opens <= before:
                self.add_error(opens_name, "The second span begins before the first has ended.")
            before = closes

    @property
    def week(self) -> dict[int, tuple[Span, ...]]:
        """What was typed, as the deed takes it."""
        found: dict[int, tuple[Span, ...]] = {}
        for weekday in Weekday:
            ends = [self.cleaned_data[name] for name in _names(weekday)]
            pairs = list(zip(ends[::2], ends[1::2], strict=True))
            found[weekday.value] = tuple((opens, closes) for opens, closes in pairs if opens is not None)
        return found


def _names(weekday: Weekday) -> list[str]:
    return [f"{end}_{weekday.value}_{number}" for number, _, _ in SPANS for end in ("opens", "closes")]


def _day(label: str, *, required: bool = True, help_text: str = "") -> forms.DateField:
    return forms.DateField(
        label=label,
        required=required,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )


class ClosedDayForm(forms.Form):
    """A day, or a row of days, on which the shop is closed."""

    first = _day("Day")
    last = _day("Last day", required=False, help_text="For several days in a row.")
    why = forms.CharField(label="Why", max_length=120, required=False)

    def __init__(self, *args: Any, **options: Any) -> None:
        # It stands on one page with the week, and an id is given once to a page.
        super().__init__(*args, **{"auto_id": "closed_%s", **options})

    @property
    def span(self) -> tuple[date, date]:
        """From the first day to the last."""
        first: date = self.cleaned_data["first"]
        return first, self.cleaned_data["last"] or first
