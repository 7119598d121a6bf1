"""The words that a piece's public page says: taken from what the page is handed, so nothing private is among them."""

from collections.abc import Iterator
from typing import Any

from catalog.public.shown.dating import dating
from catalog.public.shown.originality import originality
from catalog.public.shown.papers import papers
from catalog.public.shown.past import past
from catalog.public.shown.pictures import picture
from catalog.public.shown.recordings import recordings
from catalog.public.shown.unusual import unusual
from catalog.search.rules import said_in
from shop.wording import in_own


def page_words(instrument: Any) -> dict[str, bool]:
    """Every word of an instrument that came through catalog.public.queries.pages, and whether its name says it."""
    with in_own():  # the shelf may be filled by whoever asks first, in any language
        return said_in(_name(instrument), _body(instrument))


def _name(instrument: Any) -> Iterator[str]:
    """What it is: maker, model, date, kind, and how it was made and stands."""
    yield instrument.title
    yield instrument.kind.name
    yield instrument.maker.name if instrument.maker else ""
    for configuration in (instrument.configuration_made, instrument.configuration_now):
        yield configuration.name if configuration else ""


def _body(instrument: Any) -> Iterator[str]:
    yield from _told(instrument)
    yield from _listed(instrument)
    yield from _originality(instrument)
    yield from _known(instrument)


def _told(instrument: Any) -> Iterator[str]:
    """Texts, and what is said of the maker."""
    yield str(instrument.stock_id)
    yield from (instrument.story, instrument.condition, instrument.setup, instrument.made_evidence)
    yield instrument.get_grade_display()
    if maker := instrument.maker:
        yield from (maker.town, maker.years)
        yield maker.note if instrument.story else ""


def _listed(instrument: Any) -> Iterator[str]:
    """Numbers, measurements in words, what comes with it, captions."""
    for number in instrument.numbers.all():
        yield from (number.value, number.where)
    yield from (row.word for row in instrument.measurements.all())
    yield from (row.what for row in instrument.included.all())
    for photograph in instrument.ready:
        shown = picture(photograph)
        yield from (shown.view, shown.caption)
    for recording in recordings(instrument.recordings.all()):
        yield from (recording.title, *recording.said)


def _originality(instrument: Any) -> Iterator[str]:
    """The word on the whole, and each part that was looked at, with how it is known."""
    found = originality(instrument)
    yield found.says
    for _, parts in found.groups:
        for part in parts:
            yield from (part.name, part.word, part.when, part.how, part.note, part.kept)
    if found.conversion:
        yield from (found.conversion.when, found.conversion.note)


def _known(instrument: Any) -> Iterator[str]:
    """How the date is known, what is unusual, where it has been, and its papers."""
    for piece in dating(instrument).pieces:
        yield from (piece.says, piece.when, piece.source, piece.paper)
    for thing in unusual(instrument):
        yield from (thing.what, thing.seen, thing.verdict, thing.evidence, thing.paper)
    for entry in past(instrument):
        if entry.text or not entry.gap:
            yield from (entry.when, entry.what, entry.text, entry.paper)
    yield from (paper.what for paper in papers(instrument.papers.all()))
