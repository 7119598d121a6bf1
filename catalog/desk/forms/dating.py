"""The evidence on when an instrument was made, and what the shop's own tables offer."""

from collections.abc import Callable
from datetime import datetime
from functools import cached_property
from typing import Any

from django import forms
from django.forms.models import inlineformset_factory
from django.http import QueryDict

from catalog.dating.forms import DealerDate
from catalog.dating.models import DatingEvidence, Feature, NumberRange
from catalog.dating.queries import (
    Lookup,
    Offer,
    agreement_of,
    agreement_told,
    cited,
    conclusion_of,
    features_for,
    lookups,
    offered_features,
)
from catalog.dating.reading import read_date
from catalog.dating.rules import Agreement, Conclusion, spoken, years
from catalog.desk.forms.rows import RowsForm
from catalog.instruments.actions import change_rows
from catalog.instruments.models import Instrument
from catalog.striking.forms import StrikingRows, StruckOff
from shop.refusal import Refused
from shop.staff.models import User

Kind, Weight = DatingEvidence.Kind, DatingEvidence.Weight
Choices = list[tuple[Any, str]]

ADD = "add"  # the name of the buttons that add what is offered


class EvidenceForm(forms.ModelForm):
    """One piece of evidence. Left empty, its words, years and source are those of the line or feature chosen."""

    says = forms.CharField(
        label="What it is", required=False, max_length=300, help_text="Shown to buyers: Rim number 9173."
    )
    when = DealerDate(label="Years it leaves", required=False, help_text="1925 to 1928, not before 1924.")

    class Meta:
        model = DatingEvidence
        fields = [
            "kind",
            "weight",
            "says",
            "when",
            "source",
            "number",
            "found_in",
            "feature",
            "photograph",
            "paper",
            "note",
        ]
        labels = {"number": "Number", "photograph": "Picture that shows it", "paper": "Paper that says so"}

    first = ("kind", "weight", "says", "when", "source")
    further = ("number", "found_in", "feature", "photograph", "paper", "note")

    def first_fields(self) -> list[forms.BoundField]:
        """What every piece of evidence says."""
        return [self[name] for name in self.first]

    def further_fields(self) -> list[forms.BoundField]:
        """What it rests on, and a note."""
        return [self[name] for name in self.further]

    def wrong_further(self) -> bool:
        """Whether one of those needs another look."""
        return any(self[name].errors for name in self.further)

    def rests_on(self) -> str:
        """What it rests on, in the words of the choices; "" when nothing."""
        chosen = [
            dict(self.choices_of(name)).get(str(self[name].value() or "")) for name in self.further[:-1]
        ]
        return "; ".join(words for words in chosen if words)

    def choices_of(self, name: str) -> list[tuple[str, str]]:
        """Key and words of each choice of a field, without the one that chooses nothing."""
        field: Any = self.fields[name]
        return [(str(key), words) for key, words in field.choices if key]

    def clean(self) -> dict[str, Any]:
        """Fill in from what it rests on, and refuse what does not fit its kind."""
        values = super().clean() or self.cleaned_data
        rests_on = values.get("found_in") or values.get("feature")
        self._fill_in(values, rests_on)
        if not values.get("says") and "says" not in self.errors:
            self.add_error("says", "Say what it is.")
        if "when" not in self.errors:
            self._check_years(values, rests_on)
        if values.get("kind") == Kind.HEARSAY and values.get("weight") == Weight.FIRM:
            self.add_error("weight", "Hearsay is never firm. Choose “Indicative”.")
        if values.get("kind") in {Kind.NUMBER, Kind.FEATURE} and not values.get("source"):
            self.add_error("source", "Name the table, book or list that the years come from.")
        return values

    def _fill_in(self, values: dict[str, Any], rests_on: NumberRange | Feature | None) -> None:
        if rests_on is None:
            return
        line = isinstance(rests_on, NumberRange)
        known = {
            "when": rests_on.when,
            "source": cited(rests_on.table.source if line else rests_on.source, rests_on.page),  # type: ignore[union-attr]
            "says": str(values.get("number") or "") if line else rests_on.name,  # type: ignore[union-attr]
        }
        values.update({name: value for name, value in known.items() if not values.get(name)})

    def _check_years(self, values: dict[str, Any], rests_on: NumberRange | Feature | None) -> None:
        if not values.get("when"):
            self.add_error("when", "Write the years that this leaves.")
            return
        read = read_date(values["when"])
        if values.get("kind") == Kind.NOT_BEFORE and (read.earliest is None or read.latest is not None):
            year = read.earliest or 1924
            self.add_error("when", f"A patent or label says “not before” alone. Write: not before {year}.")
        elif values.get("kind") == Kind.NOT_AFTER and (read.latest is None or read.earliest is not None):
            year = read.latest or 1930
            self.add_error("when", f"A paper says “not after” alone. Write: not after {year}.")
        elif rests_on and (read.earliest, read.latest) != (rests_on.when_earliest, rests_on.when_latest):
            says = years(rests_on.when_earliest, rests_on.when_latest)
            self.add_error("when", f"What it rests on says {says}. Write that, or let it rest on nothing.")


class EvidenceRows(StrikingRows):
    """Evidence on one instrument; only what is on its own record is offered to rest on."""

    instance: Instrument

    @cached_property
    def lookups(self) -> list[Lookup]:
        """What the tables say of its numbers."""
        return lookups(self.instance)

    @cached_property
    def offered(self) -> dict[str, tuple[Any, Choices]]:
        """For each field, the rows that may be chosen and their words: one query for all rows of the form."""
        mine = self.instance
        kept = list(mine.dating.all())
        lines = [offer.row.found_in_id for lookup in self.lookups for offer in lookup.offers]
        lines += [row.found_in_id for row in kept]
        features = [*(feature.pk for feature in features_for(mine)), *(row.feature_id for row in kept)]
        found = {
            "number": mine.numbers.all(),
            "found_in": NumberRange.objects.filter(pk__in=[pk for pk in lines if pk]).select_related("table"),
            "feature": Feature.objects.filter(pk__in=[pk for pk in features if pk]),
            "photograph": mine.photographs.select_related("view"),
            "paper": mine.papers.all(),
        }
        return {name: (rows, [(row.pk, _in_a_list(row)) for row in rows]) for name, rows in found.items()}

    def add_fields(self, form: Any, index: int | None) -> None:
        """Narrow the choices to the record's own; what a kept row is about needs no help any more."""
        super().add_fields(form, index)
        for name in ("says", "when", "source") if form.instance.pk else ():
            form.fields[name].help_text = ""
        for name, (rows, words) in self.offered.items():
            form.fields[name].queryset = rows
            form.fields[name].choices = [("", "None"), *words]


def _in_a_list(row: Any) -> str:
    """A line of a table with its years and its source; anything else by its own name."""
    return f"{row}: {row.when}, {row.table.source}" if isinstance(row, NumberRange) else str(row)


class DatingForm(StruckOff, RowsForm):
    """Evidence by rows; a press on an offer keeps what is typed, and adds the offer."""

    template = "desk/stock/dating.html"
    relation = "dating"
    formset = inlineformset_factory(
        Instrument, DatingEvidence, form=EvidenceForm, formset=EvidenceRows, extra=1
    )

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        super().__init__(instrument, data, user)
        self.wanted = data.get(ADD, "") if data is not None else ""

    @property
    def lookups(self) -> list[Lookup]:
        """What the tables say of each number."""
        rows: EvidenceRows = self.rows  # type: ignore[assignment]
        return rows.lookups

    @cached_property
    def features(self) -> list[Offer]:
        """The maker's dated features."""
        return offered_features(self.instrument)

    @cached_property
    def conclusion(self) -> Conclusion:
        """What the evidence that is kept says together."""
        return conclusion_of(self.instrument)

    @property
    def sentences(self) -> list[str]:
        """The conclusion in words."""
        return spoken(self.conclusion)

    @property
    def agrees(self) -> str:
        """How the stated date of make agrees with it, in a sentence."""
        return agreement_told(self.instrument, self.instrument.made)

    @cached_property
    def agreement(self) -> Agreement:
        """How the stated date of make agrees with it."""
        return agreement_of(self.instrument)

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Keep the rows, and the offer that was pressed; Refused when it is not offered any more."""
        self.rows.striking = (by, at)  # type: ignore[attr-defined]
        save = self._save_with(self._pressed()) if self.wanted else self.rows.save
        return change_rows(
            self.instrument, self.relation, save, by=by, at=at, revision=revision, told="dating evidence"
        )

    def _pressed(self) -> Offer:
        offers = [*self.features, *(offer for lookup in self.lookups for offer in lookup.offers)]
        for offer in offers:
            if offer.key == self.wanted:
                return offer
        raise Refused("That line is not offered any more. The page shows what is.", code="not-offered")

    def _save_with(self, offer: Offer) -> Callable[[], None]:
        def save() -> None:
            self.rows.save()
            if not offer.taken:
                offer.row.instrument = self.instrument
                offer.row.save()

        return save
