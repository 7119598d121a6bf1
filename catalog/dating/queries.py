"""What dates an instrument, read from its record, and what the shop's own tables say of it."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from catalog.dating.models import DatingEvidence, Feature, NumberRange, NumberTable
from catalog.dating.numbers import Figures, lines_that_hold, split_number
from catalog.dating.rules import (
    Agreement,
    Conclusion,
    Evidence,
    agreement,
    agreement_before_strikings,
    agreement_in_words,
    conclude,
)
from catalog.instruments.models import FoundNumber, Instrument, Maker
from catalog.striking.queries import waiting_of

Kind, Weight = DatingEvidence.Kind, DatingEvidence.Weight
WIDEST_SOURCE = 200  # characters, as evidence keeps it


def evidence_of(row: DatingEvidence) -> Evidence:
    """One row as the rules read it; hearsay is indicative by constraint."""
    return Evidence(row.pk, row.says, row.when_earliest, row.when_latest, row.weight == Weight.FIRM)


def conclusion_of(instrument: Instrument) -> Conclusion:
    """What all evidence on the record says together; no query when `dating` is prefetched."""
    return conclude(evidence_of(row) for row in instrument.dating.all())


def stated_near(instrument: Instrument) -> bool:
    """Whether the date of make on the record is only near the truth: “c.” and “probably” both are."""
    return not {"~", "?", "%"}.isdisjoint(instrument.made_edtf)


def agreement_of(instrument: Instrument) -> Agreement:
    """How the date of make on the record agrees with its evidence; what waits among the struck holds it back."""
    standing = [evidence_of(row) for row in instrument.dating.all()]
    struck = [evidence_of(row) for row in waiting_of(instrument, "dating")]
    stated = instrument.made_earliest, instrument.made_latest
    return agreement_before_strikings(*stated, stated_near(instrument), standing, struck)


def agreement_told(instrument: Instrument, stated: str) -> str:
    """The same in a sentence, with the date in the words of `stated`."""
    agrees, conclusion = agreement_of(instrument), conclusion_of(instrument)
    made_in = instrument.made_earliest, instrument.made_latest, stated_near(instrument)
    held_back = agrees != Agreement.SUPPORTED == agreement(*made_in, conclusion)
    return agreement_in_words(stated, agrees, conclusion, held_back=held_back)


@dataclass(frozen=True)
class Offer:
    """Evidence that the shop's tables or features offer: a row that is not saved yet, and its name in the form."""

    key: str
    row: DatingEvidence
    taken: bool


@dataclass(frozen=True)
class Lookup:
    """A number on the instrument: what it is looked up by (None when it cannot be read), and what was found."""

    number: FoundNumber
    figures: Figures | None
    offers: list[Offer]


def lookups(instrument: Instrument) -> list[Lookup]:
    """Each number on the instrument with all lines of its maker's tables that hold it, in a fixed number of queries."""
    read = [(number, split_number(number.value)) for number in instrument.numbers.all()]
    lines = list(_lines_near(instrument, read))
    taken = {(row.number_id, row.found_in_id) for row in instrument.dating.all()}
    return [
        Lookup(
            number,
            figures,
            [
                Offer(f"line-{number.pk}-{line.pk}", _from_line(number, line), (number.pk, line.pk) in taken)
                for line in (lines_that_hold(figures, lines) if figures else [])
                if line.table.what == number.what
            ],
        )
        for number, figures in read
    ]


def _lines_near(
    instrument: Instrument, read: list[tuple[FoundNumber, Figures | None]]
) -> QuerySet[NumberRange]:
    """Lines that may hold one of the numbers; whether one does is for the rule to say."""
    asked = Q(pk__in=[])
    for number, figures in read:
        if figures:
            asked |= Q(table__what=number.what, first__lte=figures.figure, last__gte=figures.figure)
    lines = NumberRange.objects.filter(asked, table__maker=instrument.maker_id, table__retired_at=None)
    return lines.select_related("table").order_by("table__source", "prefix", "first", "pk")


def _from_line(number: FoundNumber, line: NumberRange) -> DatingEvidence:
    """A number that is not clear may be another one, so it only indicates."""
    clear = number.legibility == FoundNumber.Legibility.CLEAR
    return DatingEvidence(
        kind=Kind.NUMBER,
        weight=Weight.FIRM if clear else Weight.INDICATIVE,
        says=str(number),
        when=line.when,
        source=cited(line.table.source, line.page),
        number=number,
        found_in=line,
    )


def features_for(instrument: Instrument) -> QuerySet[Feature]:
    """The dated features of its maker that speak of every model, or of this one."""
    mine = Q(model=None) | Q(model=instrument.model_id)
    return Feature.objects.filter(mine, maker=instrument.maker_id).select_related("model")


def offered_features(instrument: Instrument) -> list[Offer]:
    """Each such feature, as evidence."""
    taken = {row.feature_id for row in instrument.dating.all()}
    return [
        Offer(f"feature-{feature.pk}", _from_feature(feature), feature.pk in taken)
        for feature in features_for(instrument)
    ]


def _from_feature(feature: Feature) -> DatingEvidence:
    return DatingEvidence(
        kind=Kind.FEATURE,
        weight=Weight.FIRM,
        says=feature.name,
        when=feature.when,
        source=cited(feature.source, feature.page),
        feature=feature,
    )


def cited(source: str, page: str) -> str:
    """The source with its page, as long as there is room for both."""
    named = f"page {page}" if page[:1].isdigit() else page
    whole = f"{source}, {named}" if page else source
    return whole if len(whole) <= WIDEST_SOURCE else source


def tables_of(maker: Maker) -> QuerySet[NumberTable]:
    """A maker's tables, those in use first, with how many lines each has."""
    tables = NumberTable.objects.filter(maker=maker).select_related("maker", "loaded_by")
    return tables.annotate(lines=Count("ranges")).order_by("what", "source", "-loaded_at", "-pk")
