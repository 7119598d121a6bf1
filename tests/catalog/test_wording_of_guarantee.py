"""What a guarantee leaves out is said in whole messages; a claim, which the desk alone reads, stays English."""

from hypothesis import given

from catalog.claims.record import KnownPart, Record
from catalog.claims.rules import guarantee_exceptions
from catalog.originality.rules import PartFound
from tests.catalog.test_claims_rules import FIRM_1927, record, records
from tests.support.pseudo import in_brackets, one_message


@given(records())
def test_each_exception_is_one_message(known: Record) -> None:
    plain = guarantee_exceptions(known)
    with in_brackets():
        said = guarantee_exceptions(known)
    assert len(said) == len(plain)
    assert all(one_message(sentence) for sentence in said), said
    assert guarantee_exceptions(known) == plain, "no language is kept for the next reader"


def test_names_and_dates_are_said_in_the_readers_language() -> None:
    known = record(
        of={"rim": "not-examined", "frets": "later", "case": "not-examined"},
        configuration_made="Tenor, four strings",
        configuration_now="Five-string",
        made="c. 1931",
        made_edtf="1931~",
        made_earliest=1931,
        made_latest=1931,
        made_near=True,
    )
    found = PartFound("Tuners", "original")
    doubts = [
        {"certainty": "likely"},
        {"certainty": "doubtful"},
        {"seen": "told"},
    ]
    known = known._replace(parts=known.parts + tuple(KnownPart("tuners", found, **doubt) for doubt in doubts))
    with in_brackets():
        assert guarantee_exceptions(known) == [
            "⟦It was made as ⟦Tenor, four strings⟧; it stands as ⟦Five-string⟧.⟧",
            "⟦The ⟦Frets⟧ are later replacements.⟧",
            "⟦The date of make, ⟦about 1931⟧, is given as our opinion; the evidence does not settle it.⟧",
            "⟦What we say of the ⟦Tuners⟧ is likely, and not certain.⟧",
            "⟦What we say of the ⟦Tuners⟧ is in doubt.⟧",
            "⟦What we say of the ⟦Tuners⟧ is as it was told to us, and not seen.⟧",
            "⟦Not examined, and so not covered: ⟦⟦Rim⟧ and ⟦Case⟧⟧.⟧",
        ]


def test_a_date_that_the_evidence_is_against_is_one_message_too() -> None:
    known = record(made="1931", made_edtf="1931", made_earliest=1931, made_latest=1931, dating=(FIRM_1927,))
    with in_brackets():
        assert guarantee_exceptions(known) == [
            "⟦The date of make, 1931, does not agree with the evidence on record.⟧"
        ]
