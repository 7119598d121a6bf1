"""What dates an instrument, read from its record."""

from catalog.dating.models import DatingEvidence
from catalog.dating.rules import Agreement, Conclusion, Evidence, agreement, conclude
from catalog.instruments.models import Instrument


def evidence_of(row: DatingEvidence) -> Evidence:
    """One row as the rules read it; hearsay is indicative by constraint."""
    firm = row.weight == DatingEvidence.Weight.FIRM
    return Evidence(row.pk, row.says, row.when_earliest, row.when_latest, firm)


def conclusion_of(instrument: Instrument) -> Conclusion:
    """What all evidence on the record says together; no query when `dating` is prefetched."""
    return conclude(evidence_of(row) for row in instrument.dating.all())


def agreement_of(instrument: Instrument) -> Agreement:
    """How the date of make on the record agrees with its evidence; “c.” and “probably” both count as near."""
    near = not {"~", "?", "%"}.isdisjoint(instrument.made_edtf)
    return agreement(instrument.made_earliest, instrument.made_latest, near, conclusion_of(instrument))
