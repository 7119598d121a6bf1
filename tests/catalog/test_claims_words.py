"""Reading a text for claims: how much is found, and how much of what is found is right."""

import json
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.claims.naming import Names, PartCalled, names_of
from catalog.claims.rules import BY_KEY
from catalog.claims.words import Found, Pattern, elements, find_claims, patterns
from tests.catalog.claim_sentences import HELD_BACK, TUNED, Sentence

CATALOG = Path(__file__).resolve().parents[2] / "catalog"


@cache
def shipped() -> list[Pattern]:
    words = json.loads((CATALOG / "claims" / "words.json").read_text(encoding="utf-8"))
    return patterns((claim, row) for claim, rows in words.items() for row in rows)


@cache
def banjo() -> Names:
    sheets = json.loads((CATALOG / "instruments" / "sheets.json").read_text(encoding="utf-8"))
    parts = next(sheet["parts"] for sheet in sheets if sheet["slug"] == "banjo")
    headings = {part["parent"] for part in parts}
    leaves = [part for part in parts if part["slug"] not in headings]
    called = ["Banjo", "Corvane & Sons", "Meadowlark No. 3"]
    return names_of([PartCalled(part["slug"], part["name"], part.get("role", "")) for part in leaves], called)


def label(found: Found) -> str:
    of = f"/{'+'.join(sorted(found.said.excepted))}" if found.claim == "original-but-for" else ""
    of = of or (f"/{found.said.detail}" if found.said.detail else "")
    return f"{found.claim}{of}{'~' if found.softened else ''}{'”' if found.quoted else ''}"


def read(sentence: str) -> set[str]:
    return {label(found) for found in find_claims(sentence, shipped(), banjo())}


def figures(sentences: list[Sentence]) -> tuple[float, float, list[str]]:
    """Precision, recall, and each sentence that was read otherwise."""
    count: Counter[str] = Counter()
    otherwise = []
    for sentence, meant in sentences:
        found = read(sentence)
        count += Counter(right=len(found & meant), found=len(found), meant=len(meant))
        if found != meant:
            otherwise.append(f"{sentence} -> {sorted(found)} and not {sorted(meant)}")
    return count["right"] / count["found"], count["right"] / count["meant"], otherwise


@pytest.mark.parametrize(
    ("name", "sentences", "least", "floor"),
    [("tuned", TUNED, 100, 0.97), ("held back", HELD_BACK, 30, 0.88)],
)
def test_precision_and_recall(name: str, sentences: list[Sentence], least: int, floor: float) -> None:
    precision, recall, otherwise = figures(sentences)
    print(f"{name}: {len(sentences)} sentences, precision {precision:.3f}, recall {recall:.3f}")
    print(*otherwise, sep="\n")
    assert len(sentences) >= least
    assert min(precision, recall) >= floor, otherwise


def test_every_claim_has_words_and_every_word_a_claim() -> None:
    words = json.loads((CATALOG / "claims" / "words.json").read_text(encoding="utf-8"))
    reached_otherwise = {"original-neck", "original-case", "original-but-for", "originals-kept"}
    assert set(words) | reached_otherwise == set(BY_KEY)
    rows = [row for rows in words.values() for row in rows]
    assert max(len(row) for row in rows) <= 80
    assert all(len(set(rows)) == len(rows) for rows in words.values())


def test_no_claim_is_written_down_twice() -> None:
    sentences = [sentence for sentence, _ in [*TUNED, *HELD_BACK]]
    assert len(set(sentences)) == len(sentences)
    assert {claim.partition("/")[0].strip("~”") for _, meant in TUNED for claim in meant} == set(BY_KEY)


def test_a_find_knows_its_place() -> None:
    text = (
        "Dry and loud. No. 7 of the line.\nThe tuners are original; the case is E. P. Quill’s. Made c. 1927."
    )
    found = find_claims(text, shipped(), banjo())
    assert [(one.words, one.sentence) for one in found] == [
        ("tuners are original", "The tuners are original; the case is E. P. Quill’s."),
        ("Made c. 1927", "Made c. 1927."),
    ]
    assert all(text[one.start : one.end] == one.words for one in found)
    assert [one.key for one in found] == ["original-part/tuners", "date/1927-1927"]


def test_a_shorter_name_stands_for_all_it_fits() -> None:
    names = names_of([PartCalled("bridge-base", "Bridge base"), PartCalled("bridge-saddle", "Bridge saddle")])
    found = find_claims("The bridge is original.", shipped(), names)
    assert [one.said.parts for one in found] == [("bridge-base",), ("bridge-saddle",)]


def test_the_owner_adds_words_of_her_own() -> None:
    own = patterns([("rare", "hen's teeth"), ("praise", "sing* like no other"), ("no such claim", "banjo")])
    found = find_claims("It is hen’s teeth, and singing like no other.", own, banjo())
    assert [one.claim for one in found] == ["rare", "praise"]
    assert elements("re-fret* {part}") == ("re", "fret*", "{part}")


@given(st.text(max_size=200))
def test_whatever_is_typed_is_read_without_stumbling(text: str) -> None:
    for found in find_claims(text, shipped(), banjo()):
        assert text[found.start : found.end] == found.words
        assert len(found.key) <= 30


@given(st.lists(st.sampled_from([sentence for sentence, _ in TUNED]), max_size=4))
def test_sentences_are_read_each_for_itself(chosen: list[str]) -> None:
    together = [(one.claim, one.said) for one in find_claims(" ".join(chosen), shipped(), banjo())]
    apart = [(one.claim, one.said) for text in chosen for one in find_claims(text, shipped(), banjo())]
    assert together == apart
