"""Claims that rest on dating evidence, papers, provenance, unusual features and the set-up; and those on none."""

import re

from catalog.claims.record import Judgement, KnownPaper, Record, Row, Said, Verdict, listed
from catalog.dating.rules import Agreement, agreement, conclude, years

# Values of Paper.Kind, Paper.Copy, Provenance.Kind and Unusual.Verdict.
OWNERSHIP, LEDGER, CATALOGUE = "ownership", "ledger", "catalogue"
THE_PAPER = "original"
SOLD_NEW, OWNED, DEALER, OUT_OF_SIGHT = "sold-new", "owned", "dealer", "out-of-sight"
FACTORY, LATER = "factory", "later"

# Who: “by” and a name or a trade, or the shop itself. When: a year, a month, a season.
WHO = re.compile(
    r"\bby (?:[A-Z]\w+|our |the |a )|\b(?:here|ourselves)\b|\b(?:our|the) (?:own )?(?:shop|bench|workshop|luthier)",
)
WHEN = re.compile(
    r"\b(?:19|20)\d\d\b|\b(?:January|February|March|April|May|June|July|August|September|October|November|December)\b"
    r"|\b(?:this|last) (?:week|month|year|spring|summer|autumn|fall|winter)\b"
)

_VERDICT = {
    Agreement.SUPPORTED: Verdict.SUPPORTED,
    Agreement.CONTRADICTED: Verdict.CONTRADICTED,
    Agreement.NOT_ESTABLISHED: Verdict.NOT_ESTABLISHED,
}


def dated(record: Record, said: Said) -> Judgement:
    """The years that the words name, or the stated date, against what the evidence leaves."""
    named = said.earliest is not None or said.latest is not None
    earliest, latest, near = (
        (said.earliest, said.latest, said.near)
        if named
        else (record.made_earliest, record.made_latest, record.made_near)
    )
    if named and _apart(
        (earliest, latest), (record.made_earliest, record.made_latest), near or record.made_near
    ):
        return Judgement(
            Verdict.CONTRADICTED,
            f"The date of make on the record is {record.made}.",
            (Row("Date of make", "identity", "id_made"),),
        )
    found = conclude(record.dating)
    verdict = _VERDICT[agreement(earliest, latest, near, found)]
    if not record.dating:
        return Judgement(verdict, "No dating evidence is on the record.", (Row("Date of make", "dating"),))
    if found.contradiction:
        rows = tuple(_evidence_row(piece.key, piece.says) for piece in found.contradiction)
        return Judgement(verdict, "The dating evidence contradicts itself.", rows)
    speaking = found.reasons or tuple(record.dating)
    rows = tuple(_evidence_row(piece.key, piece.says) for piece in speaking)
    return Judgement(verdict, f"The evidence leaves {years(*found.span)}.", rows)


def _evidence_row(key: object, says: str) -> Row:
    return Row(says, "dating", f"evidence-{key}")


def _apart(one: tuple[int | None, int | None], other: tuple[int | None, int | None], near: bool) -> bool:
    """Whether two spans have no year in common; a near one is given five years. The shop's own choice."""
    if other == (None, None):
        return False
    room = 5 if near else 0
    begins, ends = max(_first(one), _first(other)), min(_last(one), _last(other))
    return begins - room > ends


def _first(span: tuple[int | None, int | None]) -> int:
    return span[0] if span[0] is not None else -9999


def _last(span: tuple[int | None, int | None]) -> int:
    return span[1] if span[1] is not None else 9999


def papers_come_along(record: Record, said: Said) -> Judgement:
    """Papers of the kind named (any, when none is): the paper itself, going with the instrument."""
    wanted = [paper for paper in record.papers if not said.papers or paper.kind in said.papers]
    there = [paper for paper in wanted if paper.comes_along]
    if originals := [paper for paper in there if paper.copy == THE_PAPER]:
        return _on_papers(Verdict.SUPPORTED, "Comes with it", originals)
    if there:
        return _on_papers(Verdict.CONTRADICTED, "What comes with it is a copy", there)
    if wanted:
        return _on_papers(Verdict.NOT_ESTABLISHED, "On record, but not noted as coming with it", wanted)
    return Judgement(Verdict.NOT_ESTABLISHED, "No such paper is on the record.", (Row("Papers", "papers"),))


def _on_papers(verdict: Verdict, head: str, papers: list[KnownPaper]) -> Judgement:
    titles = listed(paper.title for paper in papers)
    return Judgement(verdict, f"{head}: {titles}.", tuple(paper.row for paper in papers))


def one_owner(record: Record, said: Said) -> Judgement:
    """Sold new, then in one pair of hands, with a statement of ownership that says so."""
    owners = [entry for entry in record.provenance if entry.kind == OWNED]
    between = [entry for entry in record.provenance if entry.kind in {DEALER, OUT_OF_SIGHT}]
    if len(owners) > 1 or between:
        rows = tuple(entry.row for entry in [*owners, *between])
        return Judgement(
            Verdict.CONTRADICTED, f"The provenance has more: {listed(row.label for row in rows)}.", rows
        )
    return _from_new(record, stated=True)


def original_owner(record: Record, said: Said) -> Judgement:
    """An entry for the sale when new, and one for an owner."""
    return _from_new(record, stated=False)


def _from_new(record: Record, *, stated: bool) -> Judgement:
    new = [entry for entry in record.provenance if entry.kind == SOLD_NEW]
    owners = [entry for entry in record.provenance if entry.kind == OWNED]
    rows = tuple(entry.row for entry in [*new, *owners]) or (Row("Provenance", "provenance"),)
    if not new:
        return Judgement(
            Verdict.NOT_ESTABLISHED, "The provenance does not say to whom it was sold new.", rows
        )
    if not owners:
        return Judgement(
            Verdict.NOT_ESTABLISHED, "The provenance names no owner after the sale when new.", rows
        )
    if not any(entry.paper for entry in owners) or (
        stated and not any(entry.paper == OWNERSHIP for entry in owners)
    ):
        lacking = "statement of ownership" if stated else "paper"
        return Judgement(Verdict.NOT_ESTABLISHED, f"No {lacking} backs the entry of the owner.", rows)
    return Judgement(Verdict.SUPPORTED, "The provenance has it, backed by a paper.", rows)


def factory_work(record: Record, said: Said) -> Judgement:
    """An unusual feature that was confirmed as factory work."""
    factory = [one for one in record.unusual if one.verdict == FACTORY]
    later = [one for one in record.unusual if one.verdict == LATER]
    if factory:
        why = f"Confirmed as factory work: {listed(one.what for one in factory)}."
        return Judgement(Verdict.SUPPORTED, why, tuple(one.row for one in factory))
    if later:
        why = f"Found to be later work: {listed(one.what for one in later)}."
        return Judgement(Verdict.CONTRADICTED, why, tuple(one.row for one in later))
    return Judgement(
        Verdict.NOT_ESTABLISHED, "Nothing is confirmed as factory work.", (Row("What is unusual", "unusual"),)
    )


def set_up(record: Record, said: Said) -> Judgement:
    """Somebody and a time, named in the set-up."""
    rows = (Row("Set-up", "setup", "id_setup"),)
    who, when = WHO.search(record.setup), WHEN.search(record.setup)
    if who and when:
        return Judgement(Verdict.SUPPORTED, "The set-up names who did it and when.", rows)
    lacking = listed([word for word, found in (("who did it", who), ("when", when)) if not found])
    return Judgement(Verdict.NOT_ESTABLISHED, f"The set-up does not say {lacking}.", rows)


def needs_a_source(record: Record, said: Said) -> Judgement:
    """A claim about other instruments: no record of this one can carry it."""
    helpful = [paper for paper in record.papers if paper.kind in {LEDGER, CATALOGUE}]
    why = "This speaks of other instruments than this one, so a named source has to say it."
    return Judgement(Verdict.NOT_ESTABLISHED, why, tuple(paper.row for paper in helpful))


def an_opinion(record: Record, said: Said) -> Judgement:
    """Praise that no examination can bear out."""
    why = "No examination can bear this out. Say whose opinion it is, or leave it out."
    return Judgement(Verdict.NOT_ESTABLISHED, why)
