"""What a record still needs before the public may see it, each with the section where it is mended."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.claims.queries import Reading, open_questions, words_looked_for
from catalog.instruments.models import Instrument
from catalog.provenance.queries import not_to_be_named
from catalog.provenance.rules import names_in
from catalog.publishing.texts import public_texts, with_public_texts


@dataclass(frozen=True)
class Missing:
    """One thing missing: a sentence part, and where to mend it (`section` and `field` on the record)."""

    says: str
    section: str
    field: str = ""


def missing_for_publishing(instrument: Instrument) -> list[Missing]:
    """What is not there yet, in the order of the record. What the texts claim is read by the two below.

    Costs no query when photographs, findings and the kind's views are prefetched, so that lists can ask it.
    """
    return [*_identity(instrument), *_words(instrument), *_price(instrument), *_pictures(instrument)]


def questions_for_publishing(instrument: Instrument) -> list[Missing]:
    """What its texts must not say: a person who has not agreed to be named, a claim that the record does not carry.

    Reads the whole record anew, in a fixed number of queries.
    """
    return questions_by_record([instrument]).get(instrument.pk, [])


def questions_by_record(instruments: Iterable[Instrument]) -> dict[int, list[Missing]]:
    """The same for many records, by their keys, in a fixed number of queries; those without a question are left out."""
    whole = with_public_texts(Instrument.objects.filter(pk__in=[row.pk for row in instruments]))
    looked_for = words_looked_for()
    found = {
        row.pk: [*_named(row), *(_question(reading) for reading in open_questions(row, looked_for))]
        for row in whole
    }
    return {key: questions for key, questions in found.items() if questions}


def stops_publishing(instrument: Instrument) -> list[Missing]:
    """Everything that stops publishing; empty when it may go out."""
    return [*missing_for_publishing(instrument), *questions_for_publishing(instrument)]


def names_told(instrument: Instrument) -> list[Missing]:
    """Where its texts name somebody who has not agreed. Reads the record anew, in a fixed number of queries."""
    return _named(with_public_texts(Instrument.objects.filter(pk=instrument.pk)).get())


def _named(instrument: Instrument) -> list[Missing]:
    """Texts that buyers read and that name somebody of the provenance who has not agreed."""
    people = not_to_be_named(instrument.provenance.all())
    if not people:
        return []
    return [
        Missing(f"the {text.called} names “{name}”, who has not agreed to be named", text.section, text.field)
        for text in public_texts(instrument)
        for name in dict.fromkeys(name for person in people for name in names_in(text.words, person))
    ]


def _question(reading: Reading) -> Missing:
    which = (
        "the record says otherwise" if reading.contradicted else "it needs a named source, or softer words"
    )
    return Missing(f"the {reading.text} says “{reading.found.words}”: {which}", "claims", reading.place)


def _identity(instrument: Instrument) -> list[Missing]:
    found = []
    if instrument.maker_id is None:
        found.append(Missing("the maker is not named", "identity", "maker"))
    if not instrument.made:
        found.append(Missing("the date of make is empty", "identity", "made"))
    elif not instrument.made_evidence:
        found.append(Missing("nothing says how the date is known", "identity", "made_evidence"))
    if instrument.configuration_now_id is None:
        found.append(Missing("the configuration as it stands is not chosen", "identity", "configuration_now"))
    return found


def _words(instrument: Instrument) -> list[Missing]:
    found = []
    if all(finding.state == "not-examined" for finding in instrument.findings.all()):
        found.append(Missing("no part has been examined", "parts"))
    if not instrument.grade:
        found.append(Missing("the condition is not graded", "condition", "grade"))
    if not instrument.condition:
        found.append(Missing("the condition is not described", "condition", "condition"))
    if not instrument.story:
        found.append(Missing("the story is empty", "story", "story"))
    return found


def _price(instrument: Instrument) -> list[Missing]:
    if instrument.asking_price or instrument.price_on_request:
        return []
    return [Missing("there is no asking price, and it is not on request", "price", "asking_price")]


def _pictures(instrument: Instrument) -> list[Missing]:
    ready = [photograph for photograph in instrument.photographs.all() if photograph.state == "ready"]
    if not ready:
        return [Missing("no picture is ready", "pictures")]
    shown = {photograph.view_id for photograph in ready if photograph.view_id}
    views = [view for view in instrument.kind.views.all() if view.required and view.pk not in shown]
    found = [Missing(f"no picture shows: {view.name.lower()}", "pictures") for view in views]
    if not any(photograph.lead for photograph in ready):
        found.append(Missing("no lead picture is chosen", "pictures"))
    return found
