"""The entries of a record as the rules read them; no question to the database when `provenance` is fetched already."""

from collections.abc import Hashable, Iterable

from catalog.instruments.models import Instrument
from catalog.provenance.models import Provenance
from catalog.provenance.rules import MADE, Gap, Span, disagreements, gaps, out_of_order

RECORD = "record"  # the key of the record's own date of make among the entries


def spans(rows: Iterable[Provenance]) -> list[Span]:
    """The entries, in their order."""
    return [
        _span(
            row.pk,
            row.get_kind_display(),
            row.kind,
            row.when,
            row.when_edtf,
            (row.when_earliest, row.when_latest),
        )
        for row in rows
    ]


def gaps_of(instrument: Instrument) -> list[Gap]:
    """Years from the make until the record was opened of which no entry tells, be it public or private.

    The year in which it came to the shop is the owner's alone, so the record's own first year stands for it.
    """
    rows = list(instrument.provenance.all())
    entries = _made(instrument, rows) + spans(rows)
    return gaps(entries, instrument.made_earliest, instrument.created_at.year)


def contradictions_of(instrument: Instrument) -> list[str]:
    """A sentence for every two entries that cannot both be true, also against the date of make, or out of order."""
    rows = list(instrument.provenance.all())
    entries = spans(rows)
    found = disagreements(_made(instrument, rows) + entries) + out_of_order(entries)
    return [why for _, _, why in found]


def disagree(instrument: Instrument, rows: Iterable[Provenance]) -> bool:
    """Whether two of `rows`, or one of them and the record's date of make, cannot both be true."""
    rows = list(rows)
    return bool(disagreements(_made(instrument, rows) + spans(rows)))


def _made(instrument: Instrument, rows: Iterable[Provenance]) -> list[Span]:
    """The record's own date of make; nothing when it has none, or when an entry says the same."""
    said = {row.when_edtf for row in rows if row.kind == MADE}
    if not instrument.made_edtf or instrument.made_edtf in said:
        return []
    years = (instrument.made_earliest, instrument.made_latest)
    return [_span(RECORD, "Date of make", MADE, instrument.made, instrument.made_edtf, years)]


def _span(
    key: Hashable, what: str, kind: str, when: str, edtf: str, years: tuple[int | None, int | None]
) -> Span:
    return Span(
        key,
        f"{what}, {when}" if when else what,
        kind,
        *years,
        doubtful=any(mark in edtf for mark in "~?%"),
        # Digits that are not known or not significant, and a choice of years, leave open which year it was.
        one_of="X" in edtf or "S" in edtf or edtf.startswith("["),
    )


def not_to_be_named(rows: Iterable[Provenance]) -> list[str]:
    """The people of these entries who have nowhere agreed to be named."""
    people = [row for row in rows if row.person]
    agreed = {row.person.casefold() for row in people if row.consent_on}
    return [row.person for row in people if row.person.casefold() not in agreed]
