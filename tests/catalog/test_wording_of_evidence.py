"""What the evidence says is said in whole messages; what the dealer wrote stands in them as it is."""

import pytest

from catalog.dating.rules import Agreement, Evidence, agreement_in_words, conclude, made, spoken, years
from catalog.provenance.rules import Gap
from tests.catalog.test_dating_rules import BILL, GUESS, LABEL, LATE, RIM, TABLE, TOLD, TOLD_WRONG
from tests.support.pseudo import in_brackets, one_message

EVERY = [row[1] for row in TABLE]


@pytest.mark.parametrize("evidence", EVERY, ids=[row[0] for row in TABLE])
def test_every_sentence_is_one_message(evidence: list[Evidence]) -> None:
    found = conclude(evidence)
    with in_brackets():
        for said in [*spoken(found), made(found)]:
            assert one_message(said), said
    assert "⟦" not in "".join([*spoken(found), made(found)])


@pytest.mark.parametrize("evidence", EVERY, ids=[row[0] for row in TABLE])
@pytest.mark.parametrize("agrees", list(Agreement))
@pytest.mark.parametrize("stated", ["", "c. 1926"])
def test_so_is_what_it_makes_of_the_stated_date(
    stated: str, agrees: Agreement, evidence: list[Evidence]
) -> None:
    with in_brackets():
        said = agreement_in_words(stated, agrees, conclude(evidence))
        held_back = agreement_in_words(stated, agrees, conclude(evidence), held_back=True)
    assert one_message(said), said
    assert one_message(held_back), held_back


def test_reasons_are_messages_within_the_sentence() -> None:
    with in_brackets():
        assert spoken(conclude([RIM, TOLD, TOLD_WRONG])) == [
            "⟦Made in 1926: ⟦“Told by the family” (1926, indicative)⟧.⟧",
            "⟦What is firm says no more than ⟦1925 to 1928⟧.⟧",
            "⟦Set aside, because firm evidence says otherwise: ⟦“Told by a neighbour” (1940, indicative)⟧.⟧",
        ]
        assert spoken(conclude([LABEL, LATE, BILL]))[0].count("⟦") == 5
        assert made(conclude([GUESS])) == "⟦Made between 1925 and 1930⟧"


def test_years_are_one_message_or_a_year() -> None:
    with in_brackets():
        assert years(1927, 1927) == str(Gap(1927, 1927)) == "1927"
        spans = [
            years(None, None),
            years(1927, None),
            years(None, 1927),
            years(1925, 1928),
            str(Gap(1925, 1928)),
        ]
    assert all(one_message(said) for said in spans)
    assert str(Gap(1925, 1928)) == "1925 to 1928"
