"""The word on the whole instrument, from its parts: common practice, no source."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.models import Finding, Part
from catalog.originality.rules import (
    AS_MADE,
    BRIEFLY,
    GONE,
    NEVER_FITTED,
    NOT_EXAMINED,
    RENEWED,
    UNKNOWN,
    WORDS,
    WORSENING,
    PartFound,
    Word,
    briefly,
    exceptions,
    spoken,
    word,
)

STATES = [state.value for state in Finding.State]
ROLES = [role.value for role in Part.Role]
BEST_FIRST = list(Word)
STEP = {state: step for step, states in enumerate(WORSENING) for state in states}

found_parts = st.lists(
    st.builds(
        PartFound,
        name=st.sampled_from(["Rim", "Neck and heel", "Nut", "Finish", "Tuners", "Case"]),
        state=st.sampled_from(STATES),
        role=st.sampled_from(ROLES),
        kept=st.booleans(),
        where=st.sampled_from(["", "In the case"]),
    ),
    max_size=8,
)


def parts(typed: str) -> list[PartFound]:
    """“rim:body=original, nut=later”: name, role and state of each."""
    found = []
    for one in filter(None, typed.split(", ")):
        named, _, state = one.partition("=")
        name, _, role = named.partition(":")
        found.append(PartFound(name[:1].upper() + name[1:], state, role))
    return found


@pytest.mark.parametrize(
    ("typed", "converted", "expected"),
    [
        ("", False, "not-fully-examined"),
        ("rim:body=not-examined, nut=not-examined", False, "not-fully-examined"),
        ("rim:body=original, nut=not-examined", False, "not-fully-examined"),
        ("rim:body=original, nut=later, case:case=not-examined", False, "not-fully-examined"),
        ("armrest=never-fitted, pickup=never-fitted", False, "not-fully-examined"),
        ("rim:body=original, nut=original", False, "fully-original"),
        ("rim:body=repaired, nut=original", False, "fully-original"),
        ("rim:body=original, armrest=never-fitted", False, "fully-original"),
        ("rim:body=original, nut=later", False, "but-for"),
        ("rim:body=original, nut=period", False, "but-for"),
        ("rim:body=original, nut=unknown", False, "but-for"),
        ("rim:body=unknown, nut=original", False, "but-for"),
        ("rim:body=original, case:case=missing", False, "but-for"),
        ("rim:body=refinished, nut=original", False, "but-for"),
        ("top:body=reproduction, back:body=original, neck:neck=original", False, "but-for"),
        ("rim:body=original, finish:finish=refinished", False, "refinished"),
        ("rim:body=original, finish:finish=missing, nut=not-examined", False, "refinished"),
        ("rim:body=original, finish:finish=unknown", False, "but-for"),
        ("rim:body=original, neck:neck=period", False, "replaced-neck"),
        ("rim:body=original, neck:neck=missing, finish:finish=refinished", False, "replaced-neck"),
        ("rim:body=original, neck:neck=refinished", False, "but-for"),
        ("rim:body=original, neck:neck=later", True, "converted"),
        ("rim:body=original", True, "converted"),
        ("", True, "converted"),
        ("rim:body=later, neck:neck=later", False, "assembled"),
        ("rim:body=later, neck:neck=later", True, "assembled"),
        ("top:body=later, back:body=original, neck:neck=missing", False, "assembled"),
        ("rim:body=later, neck:neck=original", False, "assembled"),
        ("top:body=later, back:body=period", False, "assembled"),
        ("top:body=later, back:body=not-examined", False, "not-fully-examined"),
    ],
)
def test_the_word_is_the_worst_that_fits(typed: str, converted: bool, expected: str) -> None:
    assert word(parts(typed), converted=converted) == expected


def test_the_rule_knows_every_state_and_no_other() -> None:
    assert set(STEP) | {UNKNOWN, NOT_EXAMINED} == set(STATES)
    assert AS_MADE | RENEWED | {UNKNOWN, NOT_EXAMINED} == set(STATES)
    assert not AS_MADE & RENEWED
    assert list(WORDS) == list(BRIEFLY) == BEST_FIRST


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("rim:body=original", "Fully original"),
        ("rim:body=original, top:body=repaired, bridge=repaired", "Fully original; repaired: top and bridge"),
        ("nut=later, rim:body=original", "Original but for nut"),
        ("nut=later, case:case=missing", "Original but for nut and case (missing)"),
        (
            "nut=unknown, plating=refinished",
            "Original but for nut (not known) and plating (refinished or re-plated)",
        ),
        ("nut=later, bridge=later, frets=later, case=later", "Original but for nut, bridge, frets and case"),
        (
            "nut=later, bridge=later, frets=later, case=later, head=later",
            "Original but for nut, bridge, frets and 2 more parts",
        ),
        ("nut=later, truss rod and cover=later", "Original but for nut, and truss rod and cover"),
        ("nut=later, rim=repaired", "Original but for nut; repaired: rim"),
        ("", "Not yet examined"),
        ("rim=not-examined", "Not yet examined"),
        ("rim=original, nut=not-examined", "Not fully examined: 1 of 2 parts, and that one original"),
        (
            "rim=original, case=repaired, nut=not-examined, armrest=never-fitted",
            "Not fully examined: 2 of 3 parts, all of those original; repaired: case",
        ),
        (
            "rim=original, case=later, nut=not-examined",
            "Not fully examined: 2 of 3 parts; not original: case",
        ),
        ("rim=original, case=unknown, nut=not-examined", "Not fully examined: 2 of 3 parts; not known: case"),
        ("rim=original, finish:finish=refinished", "Refinished"),
        ("nut=later, finish:finish=refinished", "Refinished; also not original: nut"),
        ("rim=original, finish:finish=missing", "Finish missing"),
        ("nut=not-examined, finish:finish=refinished", "Refinished; 1 of 2 parts examined"),
        (
            "nut=later, case=missing, head=unknown, rim=repaired, finish:finish=refinished",
            "Refinished; also not original: nut; missing: case; not known: head; repaired: rim",
        ),
        ("case=missing, nut=not-examined", "Not fully examined: 1 of 2 parts; missing: case"),
        ("rim:body=original, neck:neck=later", "Original body with replaced neck"),
        ("rim:body=repaired, neck:neck=later", "Original body with replaced neck; repaired: rim"),
        ("rim:body=original, neck:neck=missing", "Original body, neck missing"),
        ("rim:body=not-examined, neck:neck=later", "Replaced neck; 1 of 2 parts examined"),
        ("rim:body=unknown, neck:neck=later", "Replaced neck; not known: rim"),
        (
            "rim:body=refinished, neck:neck=missing",
            "Neck missing; also not original: rim (refinished or re-plated)",
        ),
        ("rim:body=never-fitted, neck:neck=later", "Replaced neck"),
        ("rim:body=later, neck:neck=later", "Assembled from parts; not original: rim and neck"),
    ],
)
def test_the_word_as_it_heads_a_page(typed: str, expected: str) -> None:
    found = parts(typed)
    assert spoken(word(found, converted=False), found) == expected


@pytest.mark.parametrize(
    ("typed", "made", "stands", "expected"),
    [
        ("rim=original", "Tenor", "Five-string", "Converted: made as tenor, stands as five-string"),
        (
            "rim=original, nut=later",
            "Tenor, four strings",
            "Five-string",
            "Converted: made as tenor, four strings; stands as five-string; also not original: nut",
        ),
        ("rim=original", "", "", "Converted"),
        ("", "Tenor", "Five-string", "Converted: made as tenor, stands as five-string; no part examined"),
    ],
)
def test_a_conversion_is_named(typed: str, made: str, stands: str, expected: str) -> None:
    assert spoken(Word.CONVERTED, parts(typed), made=made, stands=stands) == expected


@pytest.mark.parametrize(
    ("what", "many", "expected"),
    [
        (Word.FULLY, 0, "Fully original"),
        (Word.BUT_FOR, 1, "Original but for one part"),
        (Word.BUT_FOR, 3, "Original but for three parts"),
        (Word.BUT_FOR, 12, "Original but for 12 parts"),
        (Word.NECK, 1, "Neck not original"),
        (Word.CONVERTED, 3, "Converted"),
    ],
)
def test_the_word_as_it_stands_under_a_plate(what: Word, many: int, expected: str) -> None:
    assert briefly(what, many) == expected


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        (
            PartFound("Tuners", "period", kept=True),
            "The tuners are period-correct replacements; the originals come with it.",
        ),
        (
            PartFound("Bridge", "later", kept=True, where="In the case."),
            "The bridge is a later replacement; the original comes with it, in the case.",
        ),
        (PartFound("Nuts of the hooks", "reproduction"), "The nuts of the hooks are reproductions."),
        (PartFound("Neck and heel", "later"), "The neck and heel are later replacements."),
        (PartFound("Back or bowl", "later"), "The back or bowl is a later replacement."),
        (PartFound("Truss", "later"), "The truss is a later replacement."),
        (PartFound("Case", "missing"), "The case is missing."),
        (
            PartFound("Pickguard", "missing", kept=True),
            "The pickguard is not on it; the original comes with it.",
        ),
        (PartFound("Label", "unknown"), "Whether the label is original is not known."),
        (PartFound("Stamps", "unknown"), "Whether the stamps are original is not known."),
        (PartFound("Finish", "refinished", "finish"), "It has been refinished."),
        (PartFound("Hooks", "refinished"), "The hooks have been refinished or re-plated."),
        (PartFound("Plating", "refinished"), "The plating has been refinished or re-plated."),
    ],
)
def test_each_exception_is_a_sentence(part: PartFound, expected: str) -> None:
    assert exceptions([part]) == [expected]


@given(found_parts)
def test_exceptions_are_exactly_the_parts_that_are_not_original(found: list[PartFound]) -> None:
    silent = {"original", "repaired", "never-fitted", "not-examined"}
    named = [part for part in found if part.state not in silent]
    said = exceptions(found)
    assert len(said) == len(named)
    for sentence, part in zip(said, named, strict=True):
        assert part.name.lower() in sentence or (part.role, part.state) == ("finish", "refinished")
        assert ("original" in sentence and "with it" in sentence) == (part.kept and part.state in GONE)


@given(found_parts, st.booleans(), st.data())
def test_the_word_never_improves_when_a_part_gets_worse(
    found: list[PartFound], converted: bool, data: Any
) -> None:
    on_the_way = [place for place, part in enumerate(found) if part.state in STEP]
    if not on_the_way:
        return
    place = data.draw(st.sampled_from(on_the_way))
    part = found[place]
    # A part that was never fitted is nothing to examine: fitted and worse, it would be a further examination.
    if part.state == NEVER_FITTED and not any(one.state not in (NEVER_FITTED, NOT_EXAMINED) for one in found):
        return
    worse = data.draw(st.sampled_from([state for state in STEP if STEP[state] >= STEP[part.state]]))
    if worse == NEVER_FITTED:
        return
    after = [*found[:place], part._replace(state=worse), *found[place + 1 :]]
    assert rank(after, converted) >= rank(found, converted)


@given(found_parts, st.booleans(), st.data())
def test_leaving_a_part_out_of_the_examination_never_praises(
    found: list[PartFound], converted: bool, data: Any
) -> None:
    if not found:
        return
    place = data.draw(st.integers(0, len(found) - 1))
    after = [*found[:place], found[place]._replace(state=NOT_EXAMINED), *found[place + 1 :]]
    now = word(after, converted=converted)
    assert now not in (Word.FULLY, Word.BUT_FOR)
    if word(found, converted=converted) in (Word.FULLY, Word.BUT_FOR):
        assert now == Word.NOT_FULLY


@given(found_parts, st.booleans())
def test_praise_needs_every_part(found: list[PartFound], converted: bool) -> None:
    what = word(found, converted=converted)
    said = spoken(what, found)
    if what == Word.FULLY:
        assert {part.state for part in found} <= AS_MADE
        assert not exceptions(found)
        assert not converted
    if said.startswith("Original body"):
        assert all(part.state in AS_MADE for part in found if part.role == "body")
        assert any(part.role == "body" for part in found)
    assert ("repaired: " in said) == any(part.state == "repaired" for part in found)


def rank(found: list[PartFound], converted: bool) -> int:
    return BEST_FIRST.index(word(found, converted=converted))
