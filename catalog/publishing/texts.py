"""Every text of a record that buyers read, with the place where it is mended."""

from collections.abc import Iterator
from typing import NamedTuple

from catalog.claims.queries import texts_of, with_claims
from catalog.instruments.models import Instrument
from catalog.instruments.queries import InstrumentQuerySet
from catalog.originality.queries import leaf_parts
from shop.wording import inside


class PublicText(NamedTuple):
    """One text: the section and the field it is written in, what it is called, its words."""

    section: str
    field: str
    called: str
    words: str


def with_public_texts(instruments: InstrumentQuerySet) -> InstrumentQuerySet:
    """Instruments with all that `public_texts` and the claims read, in a fixed number of queries."""
    return with_claims(instruments).prefetch_related("numbers", "photographs", "recordings")


def public_texts(instrument: Instrument) -> Iterator[PublicText]:
    """All of them; what stands at the desk alone is not among them."""
    yield from (PublicText(*text) for text in texts_of(instrument))
    yield from _parts(instrument)
    yield from _rows(instrument)
    yield from _pictures_and_sound(instrument)


def _parts(instrument: Instrument) -> Iterator[PublicText]:
    found = {row.part_id: row for row in instrument.findings.all()}
    for part in leaf_parts(instrument):
        row = found.get(part.pk)
        for field in ("evidence", "note", "original_where") if row else ():
            yield PublicText(
                "parts", f"{part.slug}-{field}", f"finding on the {inside(part.name)}", getattr(row, field)
            )


def _rows(instrument: Instrument) -> Iterator[PublicText]:
    for place, number in enumerate(instrument.numbers.all()):
        yield PublicText("numbers", f"numbers-{place}-where", "place of a number", number.where)
    for place, piece in enumerate(instrument.dating.all()):
        yield PublicText("dating", f"dating-{place}-says", "dating evidence", piece.says)
        yield PublicText("dating", f"dating-{place}-source", "source of dating evidence", piece.source)
    for thing in instrument.unusual.all():
        yield PublicText("unusual", "", "evidence for what is unusual", thing.evidence)
    for place, thing_along in enumerate(instrument.included.all()):
        yield PublicText("included", f"included-{place}-what", "list of what comes with it", thing_along.what)
    for paper in instrument.papers.all():
        if paper.public:
            yield PublicText(f"papers/{paper.token}", "title", "title of a paper", paper.title)


def _pictures_and_sound(instrument: Instrument) -> Iterator[PublicText]:
    for photograph in instrument.photographs.all():
        yield PublicText("pictures", "", "caption of a picture", photograph.caption)
    for recording in instrument.recordings.all():
        for words in (recording.title, recording.captions, recording.chapters):
            yield PublicText("recordings", "", "words beside a recording", words)
