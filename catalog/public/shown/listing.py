"""One instrument's page, as plain values drawn from the record. Templates never see the record itself."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils import timezone

from catalog.instruments.availability import Availability
from catalog.instruments.grades import MEANING
from catalog.public.shown.bare import Bare, bare
from catalog.public.shown.cards import Card, card
from catalog.public.shown.dating import Dating, dating
from catalog.public.shown.guarantee import guarantee_leaves_out
from catalog.public.shown.originality import Originality, originality
from catalog.public.shown.papers import ShownPaper, papers
from catalog.public.shown.past import PastEntry, past, past_disagrees
from catalog.public.shown.pictures import Picture, pictures
from catalog.public.shown.recordings import ShownRecording, host_of, recordings
from catalog.public.shown.then_and_now import ThenAndNow, then_and_now
from catalog.public.shown.unusual import UnusualThing, unusual
from catalog.public.shown.wording import raised
from shop.wording import moment_in_zone, shipped


@dataclass(frozen=True)
class Listing:
    """One instrument's page; `report` is the address of the report as PDF, empty while the piece is not public."""

    card: Card
    bare: Bare
    title: str
    kind: str
    maker: str
    maker_of: str
    maker_note: str
    model: str
    made_evidence: str
    dating: Dating
    made_as: str
    stands_as: str
    converted: bool
    story: str
    condition: str
    grade: str
    grade_meaning: str
    setup: str
    hear_at: str
    numbers: list[tuple[str, str, str, str]]
    measurements: list[tuple[str, str]]
    included: list[str]
    originality: Originality
    guarantee_leaves_out: list[str]
    unusual: list[UnusualThing]
    then_and_now: ThenAndNow | None
    provenance: list[PastEntry]
    provenance_note: str
    papers: list[ShownPaper]
    pictures: list[Picture]
    recordings: list[ShownRecording]
    waiting: int
    held_until: str
    held_until_iso: str
    report: str

    @property
    def sold(self) -> bool:
        """Whether it has gone."""
        return self.card.state == Availability.SOLD

    @property
    def held(self) -> bool:
        """Whether somebody has it on hold, or is buying it."""
        return self.card.state == Availability.ON_HOLD

    @property
    def can_be_asked_about(self) -> bool:
        """Whether the ask form stands on the page."""
        return self.held or self.card.state == Availability.AVAILABLE

    @property
    def has_film(self) -> bool:
        """Whether there is something to be seen besides pictures."""
        return any(one.film for one in self.recordings)

    @property
    def has_chapters(self) -> bool:
        """Whether a recording has chapters to go to."""
        return any(one.chapters for one in self.recordings)

    @property
    def hear_host(self) -> str:
        """Whose address the film elsewhere has."""
        return host_of(self.hear_at)

    @property
    def lead(self) -> Picture | None:
        """The lead picture."""
        return self.pictures[0] if self.pictures else None

    @property
    def further(self) -> list[Picture]:
        """All pictures but the lead one."""
        return self.pictures[1:]


def listing(instrument: Any, *, waiting: int, held_until: datetime | None = None) -> Listing:
    """An instrument that came through catalog.public.queries.pages; `waiting` people come after the hold.

    `held_until` is the end of the hold, where buyers may read it; it is said by the clock of the shop, which is named.
    """
    maker = instrument.maker
    return Listing(
        card=card(instrument),
        bare=bare(instrument),
        title=instrument.title,
        kind=shipped(instrument.kind.name),
        maker=maker.name if maker else "",
        maker_of=", ".join(filter(None, [maker.town, maker.years])) if maker else "",
        maker_note=maker.note if maker else "",
        model=instrument.model.name if instrument.model else "",
        made_evidence=instrument.made_evidence,
        dating=dating(instrument),
        made_as=_name_of(instrument.configuration_made),
        stands_as=_name_of(instrument.configuration_now),
        converted=instrument.converted,
        story=instrument.story,
        condition=instrument.condition,
        grade=instrument.get_grade_display(),
        grade_meaning=str(MEANING.get(instrument.grade, "")),
        setup=instrument.setup,
        hear_at=instrument.hear_at,
        numbers=[_number(row) for row in instrument.numbers.all()],
        measurements=[
            (shipped(row.measure.name), raised(row.shown)) for row in instrument.measurements.all()
        ],
        included=[row.what for row in instrument.included.all()],
        originality=originality(instrument),
        guarantee_leaves_out=guarantee_leaves_out(instrument),
        unusual=unusual(instrument),
        then_and_now=then_and_now(instrument),
        provenance=past(instrument),
        provenance_note=past_disagrees(instrument),
        papers=papers(instrument.papers.all()),
        pictures=pictures(instrument),
        recordings=recordings(instrument.recordings.all()),
        waiting=waiting,
        held_until=moment_in_zone(timezone.localtime(held_until)) if held_until else "",
        held_until_iso=timezone.localtime(held_until).isoformat() if held_until else "",
        report=_report(instrument),
    )


def _report(instrument: Any) -> str:
    if not instrument.is_public:
        return ""
    return reverse("listing-report", args=[instrument.stock_id, instrument.slug])


def _name_of(row: Any) -> str:
    return shipped(row.name) if row else ""


def _number(row: Any) -> tuple[str, str, str, str]:
    return row.get_what_display(), row.value, row.where, row.get_legibility_display()
