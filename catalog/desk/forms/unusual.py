"""What was seen by the model's list, what differs, and what is made of each difference: one row for each thing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.http import QueryDict
from django.urls import reverse

from catalog.features.actions import Judgement, keep_features
from catalog.features.models import Unusual
from catalog.features.queries import seen_on, usual_on, with_features
from catalog.features.rules import Usual, in_force, is_usual, key_of, place_of, same
from catalog.instruments.models import Instrument
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from shop.staff.models import User

Verdict = Unusual.Verdict
JUDGING = ("verdict", "evidence", "photograph", "paper")


@dataclass(frozen=True)
class Thing:
    """One thing on the model's list, with what the record says of it."""

    key: str
    usual: tuple[Usual, ...]
    measured: bool
    seen: str
    judged: Unusual | None

    @property
    def what(self) -> str:
        """What it concerns."""
        return self.usual[0].what

    @property
    def prefix(self) -> str:
        """Its name in the form, which is its place on the page too."""
        return place_of(self.key)

    def is_of(self, seen: str, other: str) -> bool:
        """Whether two seen values are one."""
        return same(seen, other, self.usual[0].quantity)


@dataclass(frozen=True)
class Proofs:
    """The photographs and papers that a verdict may rest on, by their keys as they are sent."""

    photographs: dict[str, Photograph]
    papers: dict[str, Paper]


class ProofChoice(forms.TypedChoiceField):
    """One of the record's photographs or papers, or none."""

    def __init__(self, label: str, rows: Mapping[str, Any]) -> None:
        choices = [("", "None"), *((key, str(row)) for key, row in rows.items())]
        super().__init__(
            label=label, choices=choices, coerce=rows.__getitem__, empty_value=None, required=False
        )


class ThingForm(forms.Form):
    """What was seen of one thing; where that differs from what is usual, what is made of it.

    `about` is the seen value that the page asked about: a verdict on another value is not taken over unasked.
    """

    seen = forms.CharField(label="On this one", max_length=120, required=False)
    about = forms.CharField(max_length=120, required=False, widget=forms.HiddenInput)
    verdict = forms.ChoiceField(
        label="What we make of it", choices=[("", "Not judged yet"), *Verdict.choices], required=False
    )
    evidence = forms.CharField(label="How we know", max_length=300, required=False)

    def __init__(self, thing: Thing, data: Mapping[str, Any] | None, proofs: Proofs, ask: str) -> None:
        self.thing, self.proofs, self.ask = thing, proofs, ask
        self.asked_about = data.get(f"{thing.prefix}-about") if data is not None else None
        self.now = thing.seen if thing.measured or not self.sent else _seen_in(data, thing)
        known = {f"{thing.prefix}-about": self.now}
        super().__init__(
            {**dict(data.items()), **known} if data is not None and self.sent else None,
            prefix=thing.prefix,
            initial=_as_kept(thing),
        )
        self.fields["photograph"] = ProofChoice("Picture", proofs.photographs)
        self.fields["paper"] = ProofChoice("Paper", proofs.papers)
        if thing.measured:
            del self.fields["seen"]
        else:
            self.fields["seen"].widget.attrs.update(_asking(thing, ask))

    @property
    def sent(self) -> bool:
        """Whether the row was on the page that was sent."""
        return self.asked_about is not None

    @property
    def moved(self) -> bool:
        """Whether another value stands there than the one that the page asked about."""
        return self.asked_about is not None and not self.thing.is_of(self.asked_about, self.now)

    @property
    def differs(self) -> bool:
        """Whether it is seen and not usual."""
        return bool(self.now) and not is_usual(self.now, self.thing.usual)

    @property
    def earlier(self) -> Unusual | None:
        """What was made of another value than the one that stands here now."""
        judged = self.thing.judged
        return judged if judged and not self.thing.is_of(judged.seen, self.now) else None

    def judging(self) -> list[forms.BoundField]:
        """The fields of the judgement."""
        return [self[name] for name in JUDGING]

    def echoed(self) -> "ThingForm":
        """The row while it is typed, without a word on what is missing; of an earlier value nothing is carried on."""
        fresh = ThingForm(self.thing, None, self.proofs, self.ask)
        kept = _judgement_as_kept(self.thing)
        fresh.now = self.now
        fresh.initial = {name: self[name].value() for name in self.fields}
        for name in JUDGING if self.moved else ():
            if name == "verdict" or str(fresh.initial[name]) == str(kept[name]):
                fresh.initial[name] = ""
        return fresh

    def clean(self) -> dict[str, Any]:
        """A verdict speaks of what stands there now, and says how it is known, unless nobody knows."""
        values = self.cleaned_data
        if not self.differs or self.errors:
            return values
        verdict, what = values.get("verdict"), self.thing.what
        if verdict and self.moved:
            self.add_error(
                "verdict",
                f"This was said of “{self.asked_about}”. Now “{self.now}” stands there: look at it again, and save.",
            )
        elif verdict in {Verdict.FACTORY, Verdict.LATER} and not values.get("evidence"):
            self.add_error("evidence", f"Say how you know it of the difference “{what}”.")
        elif not verdict and any(values.get(name) for name in JUDGING):
            self.add_error("verdict", f"Say what you make of the difference “{what}”.")
        return values

    def judgement(self) -> Judgement | None:
        """What is made of it; None while that is open."""
        values = self.cleaned_data
        return Judgement(self.now, *(values[name] for name in JUDGING)) if values["verdict"] else None


def _seen_in(data: Mapping[str, Any] | None, thing: Thing) -> str:
    return " ".join(str((data or {}).get(f"{thing.prefix}-seen", "")).split())


def _judgement_as_kept(thing: Thing) -> dict[str, Any]:
    judged = thing.judged
    if judged is None:
        return dict.fromkeys(JUDGING, "")
    return {
        "verdict": judged.verdict,
        "evidence": judged.evidence,
        "photograph": judged.photograph_id or "",
        "paper": judged.paper_id or "",
    }


def _as_kept(thing: Thing) -> dict[str, Any]:
    """What stands in the row before it is touched; a judgement only when it is of this value."""
    seen: dict[str, Any] = {"seen": thing.seen, "about": thing.seen}
    current = thing.judged and thing.is_of(thing.judged.seen, thing.seen)
    return {**seen, **_judgement_as_kept(thing)} if current else seen


def _asking(thing: Thing, ask: str) -> dict[str, str]:
    """A moment after the typing stops, the page says whether it differs."""
    return {
        "list": f"usual-{thing.prefix}",
        "autocomplete": "off",
        "data-hx-get": f"{ask}?of={thing.prefix}",
        "data-hx-trigger": "input changed delay:400ms",
        "data-hx-include": "closest fieldset",
        "data-hx-target": "next .compared",
        "data-hx-sync": "this:replace",
    }


class UnusualForm:
    """Every thing on the model's list that was usual in the years of this piece."""

    template = "desk/stock/unusual.html"

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        proofs = _proofs(instrument)
        ask = reverse("unusual-compared", args=[instrument.stock_id])
        self.rows = [ThingForm(thing, data, proofs, ask) for thing in _things(instrument)]

    def row(self, prefix: str) -> ThingForm | None:
        """The row of that name in the form."""
        return next((row for row in self.rows if row.prefix == prefix), None)

    def is_valid(self) -> bool:
        """Whether every row that was sent can be kept; all are looked at."""
        looked_at = [row.is_valid() for row in self.rows if row.sent]
        return all(looked_at)

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Keep what was seen and judged; a row that was not sent, and an earlier verdict, stay as they are."""
        sent = [row for row in self.rows if row.sent]
        seen = {row.thing.what: row.now for row in sent if not row.thing.measured}
        judged = {
            row.thing.what: row.judgement()
            for row in sent
            if row.differs and (row.judgement() or not row.earlier)
        }
        return keep_features(self.instrument, seen, judged, by=by, at=at, revision=revision)


def _things(instrument: Instrument) -> list[Thing]:
    """Read apart from the record that the deed changes, which must not remember rows from before."""
    read = with_features(Instrument.objects.filter(pk=instrument.pk)).get()
    seen, years = seen_on(read), (read.made_earliest, read.made_latest)
    judged = {key_of(row.what): row for row in read.unusual.all()}
    return [
        Thing(key, rows, any(row.quantity for row in rows), seen.get(key, ""), judged.get(key))
        for key, rows in in_force(usual_on(read), *years).items()
    ]


def _proofs(instrument: Instrument) -> Proofs:
    photographs = Photograph.objects.filter(instrument=instrument).exclude(state=Photograph.State.REFUSED)
    return Proofs(
        {str(row.pk): row for row in photographs.select_related("view")},
        {str(row.pk): row for row in Paper.objects.filter(instrument=instrument)},
    )
