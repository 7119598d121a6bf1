"""What is said of originality is said in whole messages, in Python as on a page."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.models import Finding
from catalog.originality import sentences
from catalog.originality.rules import (
    AS_MADE,
    BRIEFLY,
    GONE,
    MEANING,
    WORDS,
    PartFound,
    Word,
    briefly,
    exceptions,
    lying,
    spoken,
    word,
)
from tests.catalog.test_originality_word import STATES, found_parts, parts
from tests.support.pseudo import in_brackets, one_message, outermost

EXCEPTED = sorted(set(STATES) - AS_MADE - {"not-examined"})


@given(
    found_parts, st.booleans(), st.sampled_from([("", ""), ("Tenor", "Five-string"), ("Tenor, old", "Cello")])
)
def test_the_head_of_a_page_is_one_message_and_further_ones_behind_semicolons(
    found: list[PartFound], converted: bool, names: tuple[str, str]
) -> None:
    what, (made, stands) = word(found, converted=converted), names
    told = {"made": made, "stands": stands}
    plain = spoken(what, found, **told)
    with in_brackets():
        said = spoken(what, found, **told)
    pieces = outermost(said)
    assert all(one_message(piece) for piece in pieces[::2]), said
    assert set(pieces[1::2]) <= {"; "}
    assert spoken(what, found, **told) == plain, "no language is kept for the next reader"


@given(found_parts)
def test_each_exception_is_one_message(found: list[PartFound]) -> None:
    with in_brackets():
        for said in exceptions(found):
            assert one_message(said), said


@pytest.mark.parametrize(
    ("name", "state", "kept", "where"),
    list(product(["Nut", "Tuners"], EXCEPTED, [False, True], ["", "In the case."])),
)
def test_a_part_stands_in_its_sentence_under_its_own_name(
    name: str, state: str, kept: bool, where: str
) -> None:
    part = PartFound(name, state, kept=kept, where=where)
    with in_brackets():
        [said] = exceptions([part])
    assert f" ⟦{name}⟧ " in said
    assert ("%" in said, ", In the case.⟧" in said) == (False, bool(kept and where and state in GONE))
    assert said.count("⟦") == 2, "the sentence and the name, and nothing else"


def test_a_name_is_written_as_the_language_writes_it() -> None:
    part = PartFound("Neck and heel", "later", "neck", kept=True, where="In the case")
    assert lying(part) == "neck and heel, in the case"
    with in_brackets():
        assert lying(part) == "⟦⟦Neck and heel⟧, In the case⟧"
        assert lying(part._replace(where="")) == "⟦Neck and heel⟧"
        assert spoken(Word.BUT_FOR, [part, PartFound("Nut", "missing")]) == (
            "⟦Original but for ⟦⟦Neck and heel⟧ and ⟦⟦Nut⟧ (missing)⟧⟧⟧"
        )


def test_names_and_their_number_are_said_by_the_language() -> None:
    found = parts("nut=later, bridge=later, frets=later, case=later, head=later")
    with in_brackets():
        assert spoken(Word.BUT_FOR, found).endswith("⟦⟦Nut⟧, ⟦Bridge⟧, ⟦Frets⟧ and ⟦2 more parts⟧⟧⟧")
        assert briefly(Word.BUT_FOR, 1) == "⟦Original but for one part⟧"
        assert briefly(Word.BUT_FOR, 3) == "⟦Original but for ⟦three⟧ parts⟧"
        assert briefly(Word.BUT_FOR, 12) == "⟦Original but for 12 parts⟧"


@pytest.mark.parametrize("what", list(Word))
def test_words_and_what_they_mean_are_messages(what: Word) -> None:
    with in_brackets():
        for said in (str(WORDS[what]), str(BRIEFLY[what]), str(MEANING[what]), briefly(what, 2)):
            assert one_message(said), said
    assert "⟦" not in briefly(what, 2)


@pytest.mark.parametrize("choices", [Finding.State, Finding.Seen])
def test_what_was_found_and_how_are_messages(choices: type[Finding.State]) -> None:
    with in_brackets():
        assert all(one_message(str(choice.label)) for choice in choices)


def test_every_sentence_names_its_part() -> None:
    every = [sentences.UNKNOWN, sentences.REFINISHED]
    for table in (sentences.ALONE, sentences.KEPT, sentences.KEPT_THERE):
        assert set(table) == GONE
        every += table.values()
    said = [says.of(many) for says in every for many in (False, True)]
    assert len(set(said)) == len(said)
    assert all("%(part)s" in one for one in said)
