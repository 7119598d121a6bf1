"""Where it has been: entries with their people, their consents and their papers."""

from datetime import datetime
from functools import cached_property
from typing import Any

from django import forms
from django.forms.models import inlineformset_factory
from django.utils import timezone

from catalog.dating.forms import DealerDate
from catalog.desk.forms.rows import SPARE, RowsForm
from catalog.instruments.models import Instrument
from catalog.papers.models import Paper
from catalog.provenance.models import Provenance
from catalog.provenance.queries import contradictions_of, gaps_of, not_to_be_named
from catalog.provenance.rules import Gap, names_in
from catalog.striking.forms import StrikingRows, StruckOff
from shop.staff.models import User

COLUMNS = [
    "position",
    "when",
    "kind",
    "paper",
    "public",
    "private",
    "person",
    "consent_on",
    "consent_how",
]


class EntryForm(forms.ModelForm):
    """One entry. A consent is whole: who, on which day, and how."""

    when = DealerDate()

    class Meta:
        model = Provenance
        fields = COLUMNS
        labels = {"paper": "Paper that says so", "consent_on": "Agreed to be named on"}
        # What these would say stands once above the rows, not in each of them.
        help_texts = {"person": "", "consent_how": ""}
        widgets = {
            "public": forms.Textarea(attrs={"rows": 2}),
            "private": forms.Textarea(attrs={"rows": 2}),
            "consent_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }

    def clean(self) -> dict[str, Any]:
        """Refuse half a consent, and one of a day to come."""
        values = self.cleaned_data
        on, how = values.get("consent_on"), values.get("consent_how")
        if on and on > timezone.localdate():
            self.add_error("consent_on", "That day is still to come.")
        if on and not how:
            self.add_error("consent_how", "Say how they agreed: by letter, by e-mail …")
        if how and not on and "consent_on" not in self.errors:
            self.add_error("consent_on", "Say on which day they agreed.")
        if (on or how) and not values.get("person"):
            self.add_error("person", "Say who agreed to be named.")
        return values


class Entries(StrikingRows):
    """The entries of one record: nothing that buyers read names a person who has not agreed."""

    @cached_property
    def papers(self) -> list[Paper]:
        """The papers of the record, asked for once a page."""
        return list(self.instance.papers.all())

    def add_fields(self, form: Any, index: int | None) -> None:
        """Offer the papers of this record and no other's."""
        super().add_fields(form, index)
        field = form.fields["paper"]
        field.queryset = self.instance.papers.all()
        field.choices = [("", "No paper"), *((paper.pk, _named(paper)) for paper in self.papers)]

    def clean(self) -> None:
        """Refuse a public text, and a paper that may be named, with the name of somebody who has not agreed."""
        super().clean()
        standing = [form for form in self.forms if self._stands(form)]
        for person in not_to_be_named(form.instance for form in standing):
            for form in standing:
                self._refuse_name(form, person)

    def _stands(self, form: Any) -> bool:
        there = form.instance.pk or form.has_changed()
        return bool(there and form.is_valid() and not form.cleaned_data.get("DELETE"))

    def _refuse_name(self, form: Any, person: str) -> None:
        for name in names_in(form.instance.public, person)[:1]:
            form.add_error(
                "public",
                f"“{name}” names a person who has not agreed to be named. Leave the name out, "
                "or write down when and how they agreed.",
            )
        if form.instance.person != person:
            return
        for paper in self.papers:
            if paper.public and names_in(paper.title, person):
                form.add_error(
                    "person",
                    f"This person has not agreed to be named, and the paper “{paper.title}”, which may be named to "
                    "buyers, names them. Change the paper first.",
                )


def _named(paper: Paper) -> str:
    return ", ".join(filter(None, [paper.title, paper.when]))


class ProvenanceForm(StruckOff, RowsForm):
    """Where it has been: a public sentence and a private note for each entry, and what the entries leave open."""

    template = "desk/stock/provenance.html"
    relation = "provenance"
    anchor = "entry"
    formset = inlineformset_factory(Instrument, Provenance, form=EntryForm, formset=Entries, extra=SPARE)

    def spare_initial(self, instrument: Instrument) -> list[dict[str, Any]]:
        """The next places in the order."""
        last = instrument.provenance.last()
        first = last.position + 1 if last else 1
        return [{"position": first + n} for n in range(SPARE)]

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Add and change entries, and strike off those that were ticked."""
        self.rows.striking = (by, at)  # type: ignore[attr-defined]
        return super().keep(by=by, at=at, revision=revision)

    def gaps(self) -> list[Gap]:
        """Years of which the kept entries tell nothing."""
        return gaps_of(self.instrument)

    def contradictions(self) -> list[str]:
        """What of the kept entries cannot be true together, or stands out of order."""
        return contradictions_of(self.instrument)
