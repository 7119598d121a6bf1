"""Every public piece of the invented shop carries its evidence, and three of them are there to be looked at."""

import json
import re
from collections import Counter
from pathlib import Path

import pytest

import demo_fixtures
from catalog.claims.queries import open_questions, read_texts, record_of, with_claims
from catalog.claims.record import Verdict
from catalog.claims.rules import judge
from catalog.dating.models import DatingEvidence, Feature, NumberRange, NumberTable
from catalog.dating.queries import agreement_of, conclusion_of
from catalog.dating.rules import Agreement
from catalog.features.models import Unusual, UsualFeature
from catalog.features.queries import comparison_of
from catalog.models import Instrument
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts, parts_of, with_word
from catalog.originality.rules import Word
from catalog.papers.models import Paper
from catalog.pricing.models import ListPrice
from catalog.provenance.models import Provenance
from catalog.provenance.queries import contradictions_of, not_to_be_named
from catalog.provenance.rules import names_in
from catalog.publishing.actions import publish
from catalog.publishing.readiness import missing_for_publishing
from catalog.speaking.models import SpokenLine
from demo_fixtures.papers import sheet
from shop.keeping import kept_path
from shop.models import ShopProfile
from shop.refusal import Refused
from tests.demo_fixtures.conftest import NOW

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]

FOLDER = Path(demo_fixtures.__file__).parent
# Stock numbers of the pieces on which a part was left alone, so that “not fully examined” is seen.
LEFT_ALONE = {1013, 1038, 1040, 1049, 1057}
# Converted pieces may have a part that was not examined too; the word speaks of the conversion.
CONVERTED = {1012, 1021, 1048}
TWO_DATES, TWO_OWNERS, FALSE_CLAIM, STRUCK = 1047, 1033, 1058, 1060


def public() -> list[Instrument]:
    states = [Instrument.State.LISTED, Instrument.State.SOLD]
    return list(Instrument.objects.filter(state__in=states).select_related("kind", "model", "maker"))


def piece(stock: int) -> Instrument:
    return Instrument.objects.get(stock=stock)


def test_every_part_of_a_public_piece_has_a_finding() -> None:
    for instrument in public():
        leaves = {part.pk for part in leaf_parts(instrument)}
        assert set(instrument.findings.values_list("part", flat=True)) == leaves, instrument


def test_the_parts_left_alone_are_those_of_a_few_pieces() -> None:
    left = Finding.objects.filter(instrument__in=public(), state="not-examined")
    assert {row.instrument.stock_id for row in left} == LEFT_ALONE | {1021, 1048}
    assert all(row.note for row in left), "each says why it was left alone"


def test_what_was_found_says_how_it_was_seen_and_how_it_is_known() -> None:
    found = Finding.objects.filter(instrument__in=public()).exclude(state="not-examined")
    assert [row for row in found if not row.seen] == []
    assert [row for row in found if not row.evidence] == []
    assert {row.seen for row in found} >= {
        "eye", "loupe", "ultraviolet", "inside", "apart", "measured", "paper",
    }  # fmt: skip
    assert {row.certainty for row in found} == {"certain", "likely", "doubtful"}


def test_what_was_never_there_is_never_fitted() -> None:
    """No part is called original of which the evidence says that there is none."""
    found = Finding.objects.filter(instrument__in=public())
    denied = re.compile(
        "never fitted|none (was|were)|^(none|no holes|never (fitted|struck|plated))", re.IGNORECASE
    )
    wrong = [row for row in found if denied.search(row.evidence) and row.state != "never-fitted"]
    assert [row for row in wrong if row.state == "original"] == []
    assert found.filter(state="never-fitted").count() > 100


def test_the_words_on_the_whole_are_a_mix() -> None:
    word = {
        one.stock_id: Word(one.word)
        for one in with_word(Instrument.objects.filter(pk__in=[each.pk for each in public()]))
    }
    of_each = Counter(word.values())
    assert {stock for stock in word if word[stock] == Word.NOT_FULLY} == LEFT_ALONE
    assert {stock for stock in word if word[stock] == Word.CONVERTED} == CONVERTED
    assert of_each[Word.FULLY] >= 3
    assert of_each[Word.REFINISHED] == 3
    assert of_each[Word.NECK] == 2
    assert of_each[Word.ASSEMBLED] == 1
    assert of_each[Word.BUT_FOR] == max(of_each.values())


def test_a_conversion_says_what_was_done_and_whether_it_can_be_undone() -> None:
    converted = [instrument for instrument in public() if instrument.converted]
    assert {one.stock_id for one in converted} == CONVERTED
    for one in converted:
        assert one.conversion_note, one
        assert one.conversion_when, one
        assert one.convertible_back, one
    neck = [part for part in parts_of(piece(1012)) if part.role == "neck"]
    assert [(part.kept, bool(part.where)) for part in neck] == [(True, True)]


def test_originals_that_travel_along_are_named_with_their_place() -> None:
    kept = Finding.objects.filter(original_kept=True)
    assert len({row.instrument_id for row in kept}) >= 6
    assert [row for row in kept if not row.original_where] == []


def test_a_picture_that_shows_a_finding_is_one_of_the_same_piece() -> None:
    shown = [
        *Finding.objects.exclude(photograph=None).select_related("photograph"),
        *DatingEvidence.objects.exclude(photograph=None).select_related("photograph"),
        *Unusual.objects.exclude(photograph=None).select_related("photograph"),
    ]
    assert len(shown) > 200
    assert [
        row for row in shown if row.photograph and row.photograph.instrument_id != row.instrument_id
    ] == []


def test_every_public_date_is_carried_by_its_evidence_but_one() -> None:
    agreed = {instrument.stock_id: agreement_of(instrument) for instrument in public()}
    odd = {stock: found for stock, found in agreed.items() if found != Agreement.SUPPORTED}
    assert odd == {TWO_DATES: Agreement.NOT_ESTABLISHED}


def test_two_pieces_have_evidence_struck_off_and_one_of_them_waits_for_a_reason() -> None:
    struck = {row.instrument.stock_id: row for row in DatingEvidence.every.filter(struck_at__isnull=False)}
    assert {stock: bool(row.struck_reason) for stock, row in struck.items()} == {1042: True, STRUCK: False}
    draft = piece(STRUCK)
    assert agreement_of(draft) == Agreement.NOT_ESTABLISHED
    assert judge("date", record_of(draft)).rows[0].label.startswith("Repair ticket of 1911")


def test_the_rim_number_and_the_patent_contradict_each_other() -> None:
    found = piece(TWO_DATES)
    kinds = {row.pk: row.kind for row in found.dating.all()}
    assert {kinds[one.key] for one in conclusion_of(found).contradiction} == {"number", "not-before"}
    assert (found.made_earliest, found.made_latest) == (1922, 1926)
    assert "do not agree" in found.story


def test_one_provenance_has_two_entries_that_overlap() -> None:
    found = {one.stock_id: contradictions_of(one) for one in Instrument.objects.all()}
    assert {stock for stock, sentences in found.items() if sentences} == {TWO_OWNERS}
    assert len(found[TWO_OWNERS]) == 1


def test_one_draft_claims_what_its_parts_deny_and_nothing_else_stops_it() -> None:
    draft = piece(FALSE_CLAIM)
    assert draft.state == Instrument.State.DRAFT
    asked = open_questions(draft)
    assert {reading.claim.key for reading in asked} == {"all-original", "original-finish"}
    assert all(reading.contradicted for reading in asked)
    assert missing_for_publishing(draft) == []
    with pytest.raises(Refused, match="the record says otherwise"):
        publish(draft, by=None, at=NOW)


def test_the_texts_of_public_pieces_claim_what_their_records_carry() -> None:
    readings = [(one.stock_id, reading) for one in with_claims(Instrument.objects.filter(
        pk__in=[each.pk for each in public()]
    )) for reading in read_texts(one)]  # fmt: skip
    assert [(stock, reading.found.sentence) for stock, reading in readings if reading.open] == []
    assert sum(reading.verdict == Verdict.SUPPORTED for _, reading in readings) >= 20
    answers = {reading.answer.how for _, reading in readings if reading.answer}
    assert answers == {"source", "false-alarm"}


def test_one_speakers_sheet_has_words_of_its_own() -> None:
    lines = SpokenLine.objects.all()
    assert {line.instrument.stock_id for line in lines} == {1026}
    assert any(line.words for line in lines)
    assert any(line.left_out for line in lines)


def test_every_source_is_named() -> None:
    assert NumberTable.objects.count() >= 7
    assert NumberRange.objects.filter(page="").count() == 0
    rows = [*NumberTable.objects.all(), *Feature.objects.all(), *UsualFeature.objects.all()]
    assert [row for row in [*rows, *ListPrice.objects.all()] if not row.source] == []
    assert ListPrice.objects.count() >= 25
    assert UsualFeature.objects.values("model").distinct().count() >= 25


def test_a_source_from_outside_a_piece_is_given_with_its_date() -> None:
    tables = DatingEvidence.objects.filter(kind="number")
    assert [row for row in tables if row.found_in is None or not row.source] == []


def test_differences_are_found_and_mostly_judged() -> None:
    found = [(one.stock_id, each) for one in public() for each in comparison_of(one).differences]
    verdicts = Counter(difference.verdict for _, difference in found)
    assert set(verdicts) == {"factory", "later", "unknown", None}
    assert all(difference.evidence for _, difference in found if difference.verdict in ("factory", "later"))
    assert len(found) == Unusual.objects.count() + verdicts[None], "a verdict speaks of a difference"


def test_papers_are_here_as_files_unless_they_were_only_seen(settings: object) -> None:
    folder = Path(settings.RECEIVED_DIR)  # type: ignore[attr-defined]
    for paper in Paper.objects.all():
        here = bool(paper.sha256) and kept_path(folder, paper.sha256, paper.suffix).is_file()
        assert here == (paper.copy != Paper.Copy.SEEN), paper
    assert Paper.objects.filter(public=False).exists()
    assert Paper.objects.filter(copy=Paper.Copy.SEEN).exists()


def test_two_sheets_with_other_words_are_two_files() -> None:
    assert sheet(["one"]) == sheet(["one"]) != sheet(["two"])


def test_two_people_have_agreed_to_be_named_and_no_other_is() -> None:
    agreed = Provenance.objects.exclude(consent_on=None)
    assert len({row.person for row in agreed}) == 2
    for instrument in public():
        entries = list(instrument.provenance.all())
        for person in not_to_be_named(entries):
            for text in [instrument.story, instrument.condition, *(entry.public for entry in entries)]:
                assert names_in(text, person) == [], f"{instrument}: {person}"


def test_the_guarantee_is_written(shop: ShopProfile) -> None:
    assert "stand behind" in shop.guarantee


def test_the_fixtures_are_written_with_curly_marks() -> None:
    for file in [*(FOLDER / "instruments").glob("*.json"), FOLDER / "makers.json"]:
        words = json.dumps(json.loads(file.read_text(encoding="utf-8")), ensure_ascii=False)
        assert re.findall(r"\w'\w|\\\"", words) == [], file.name
