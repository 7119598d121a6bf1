"""One row for each part that is examined."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.dating.forms import DealerDate
from catalog.instruments.models import Instrument, Part
from catalog.originality.actions import NOTHING_FOUND, Found, examine, found_in
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts, spoken_of
from catalog.originality.rules import GONE, PartFound, examined
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from shop.staff.models import User

State = Finding.State
NO_EVIDENCE_NEEDED = {State.NOT_EXAMINED, State.UNKNOWN, State.MISSING}


@dataclass(frozen=True)
class Key:
    """One key that says what was found; `claims` where the state needs its evidence."""

    letter: str
    state: State
    says: str

    @property
    def claims(self) -> bool:
        """Whether the key says at once that it was seen."""
        return self.state not in NO_EVIDENCE_NEEDED


KEYS = [
    Key("o", State.ORIGINAL, "original"),
    Key("n", State.NEVER_FITTED, "never fitted"),
    Key("r", State.REPAIRED, "repaired"),
    Key("f", State.REFINISHED, "refinished"),
    Key("p", State.PERIOD, "period-correct"),
    Key("l", State.LATER, "later"),
    Key("c", State.REPRODUCTION, "reproduction (copy)"),
    Key("m", State.MISSING, "missing"),
    Key("u", State.UNKNOWN, "unknown"),
    Key("x", State.NOT_EXAMINED, "not examined"),
]


class Shown:
    """The photographs and papers of the one instrument, by their tokens: what a row may point at."""

    def __init__(self, instrument: Instrument) -> None:
        pictures = list(instrument.photographs.ready().select_related("view"))
        self.photographs: dict[str, Photograph] = {row.token: row for row in pictures}
        self.papers: dict[str, Paper] = {row.token: row for row in instrument.papers.all()}
        self.picture_names = [
            ("", "None"),
            *((row.token, f"{n}: {row}") for n, row in enumerate(pictures, 1)),
        ]
        self.paper_names = [("", "None"), *((token, str(row)) for token, row in self.papers.items())]


class PartForm(forms.Form):
    """What was found about one part; a row left alone says it has not been examined."""

    state = forms.ChoiceField(choices=State.choices)
    seen = forms.ChoiceField(
        label="How it was seen", choices=[("", "Not said"), *Finding.Seen.choices], required=False
    )
    evidence = forms.CharField(label="How we know", max_length=300, required=False)
    certainty = forms.ChoiceField(label="How certain", choices=Finding.Certainty.choices)
    photograph = forms.TypedChoiceField(label="Picture that shows it", required=False, empty_value=None)
    paper = forms.TypedChoiceField(label="Paper that says so", required=False, empty_value=None)
    note = forms.CharField(label="Note for the buyer", max_length=300, required=False)
    when = DealerDate(label="When the work was done", required=False)
    work_by = forms.CharField(
        label="Who did the work", max_length=120, required=False, help_text="Never leaves the desk."
    )
    seen_by = forms.CharField(
        label="Who saw it, if not you", max_length=120, required=False, help_text="Never leaves the desk."
    )
    original_kept = forms.BooleanField(label="The original part comes with it", required=False)
    original_where = forms.CharField(
        label="Where it lies", max_length=120, required=False, help_text="In the case, in a box …"
    )

    def __init__(self, part: Part, known: Found, shown: Shown, data: QueryDict | None) -> None:
        self.part, self.known = part, known
        tokens = {
            name: getattr(known, name).token for name in ("photograph", "paper") if getattr(known, name)
        }
        initial = {**known._asdict(), "photograph": "", "paper": "", **tokens}
        super().__init__(data, prefix=part.slug, initial=initial)
        _offer(self.fields["photograph"], shown.picture_names, shown.photographs, "picture")
        _offer(self.fields["paper"], shown.paper_names, shown.papers, "paper")

    def clean(self) -> dict[str, Any]:
        """A state that claims something says how it is known; an original lies by only where another is fitted."""
        values = self.cleaned_data
        name, state = self.part.name, values.get("state")
        if state is None:
            return values
        known = values.get("seen") or values.get("evidence") or {"seen", "evidence"} & set(self.errors)
        if state not in NO_EVIDENCE_NEEDED and not known:
            self.add_error("evidence", f"Say how it was seen, or how you know it, of the part “{name}”.")
        if values.get("original_kept") and state not in GONE:
            self.add_error(
                "original_kept",
                f"An original lies by only where the part “{name}” was replaced or is missing.",
            )
        if values.get("original_where") and not values.get("original_kept"):
            self.add_error(
                "original_where", "Tick that the original part comes with it, or leave this empty."
            )
        return values

    def main(self) -> list[forms.BoundField]:
        """What stands in the row itself."""
        return [self[name] for name in ("state", "seen", "evidence")]

    def more(self) -> list[forms.BoundField]:
        """What stands behind “More”."""
        return [self[name] for name in self.fields if name not in ("state", "seen", "evidence")]

    def opened(self) -> bool:
        """Whether “More” needs another look."""
        return any(field.errors for field in self.more())

    def gist(self) -> str:
        """What “More” holds, in one line beside the row: “1: The nut · c. 1970 · In the case”."""
        return " · ".join(words for field in self.more() if (words := self._in_words(field)))

    def _in_words(self, field: forms.BoundField) -> str:
        value = field.value()
        if not value or value == Finding.Certainty.CERTAIN:
            return ""
        if isinstance(field.field, forms.BooleanField):
            return str(field.label)
        choices = dict(getattr(field.field, "choices", []))
        return str(choices.get(value, value))

    @property
    def stands(self) -> str:
        """The state in the row as it is typed now."""
        return str(self["state"].value() or State.NOT_EXAMINED)

    def said(self) -> str:
        """The row in a few words: “Original, seen”."""
        state = dict(State.choices).get(self.stands, "")
        seen = dict(Finding.Seen.choices).get(self["seen"].value() or "", "")
        return f"{state}, {seen.lower()}" if seen else str(state)

    def wrong(self) -> list[tuple[forms.BoundField, str]]:
        """Each field that needs another look, with its first sentence."""
        return [(field, str(field.errors[0])) for field in self if field.errors]


def _offer(field: Any, names: list[tuple[str, str]], known: dict[str, Any], thing: str) -> None:
    field.choices = names
    field.coerce = known.get
    field.error_messages["invalid_choice"] = f"This {thing} is no longer on this record. Choose another."


class PartsForm:
    """All leaf parts of the kind's sheet, in its order, under their headings."""

    template = "desk/stock/parts.html"
    keys = KEYS

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        rows = instrument.findings.select_related("photograph__view", "paper")
        known = {row.part_id: found_in(row) for row in rows}
        shown = Shown(instrument)
        self.rows = [
            PartForm(part, known.get(part.pk, NOTHING_FOUND), shown, data) for part in leaf_parts(instrument)
        ]

    def groups(self) -> Iterator[tuple[str, list[PartForm]]]:
        """Heading ("" for parts without one) and its rows."""
        for heading, rows in groupby(self.rows, key=lambda row: row.part.parent):
            yield heading.name if heading else "", list(rows)

    def examined(self) -> str:
        """How far the examination is, as typed: “12 of 34”."""
        many, of = examined(PartFound(row.part.name, row.stands) for row in self.rows)
        return f"{many} of {of}"

    def word(self) -> str:
        """The word on the whole, from what is kept and never from what is only typed."""
        return spoken_of(self.instrument)

    def wrong(self) -> list[tuple[str, forms.BoundField, str]]:
        """Part, field and sentence of everything that needs another look."""
        return [(row.part.name, *one) for row in self.rows for one in row.wrong()]

    def is_valid(self) -> bool:
        """Whether every row can be kept; each is looked at, so that each says what is wrong with it."""
        valid = [row.is_valid() for row in self.rows]
        return all(valid)

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Keep the findings that differ."""
        found = {row.part: Found(**row.cleaned_data) for row in self.rows}
        return examine(self.instrument, found, by=by, at=at, revision=revision)
