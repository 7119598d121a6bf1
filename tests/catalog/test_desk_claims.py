"""The page of claims, the answers, what is said while typing, and the owner's words."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from catalog.claims.actions import answer_claim
from catalog.claims.queries import judgements, open_questions, read_texts, record_of, with_claims
from catalog.models import (
    ClaimAnswer,
    ClaimWord,
    Finding,
    Instrument,
    Paper,
    SeenFeature,
    Unusual,
    UsualFeature,
)
from catalog.originality.queries import leaf_parts
from catalog.publishing.readiness import questions_for_publishing
from shop.facts import FactIsFixed
from shop.models import Entry, User
from shop.refusal import Refused
from tests.factories import InstrumentFactory, PhotographFactory

pytestmark = pytest.mark.django_db

STORY = "Dry and loud. The tuners are original. A rare model."


def piece(**values: Any) -> Instrument:
    """A draft that could be published if its story said nothing of tuners."""
    instrument = InstrumentFactory(**{"story": STORY, **values})
    found(instrument, "rim", "original")
    for number, view in enumerate(instrument.kind.views.filter(required=True)):
        PhotographFactory(instrument=instrument, view=view, position=number, lead=number == 0)
    return instrument


def found(instrument: Instrument, part: str, state: str) -> None:
    Finding.objects.update_or_create(
        instrument=instrument,
        part=instrument.kind.parts.get(slug=part),
        defaults={"state": state, "seen": "eye", "examined_at": timezone.now()},
    )


def whole(instrument: Instrument) -> Instrument:
    return with_claims(Instrument.objects.all()).get(pk=instrument.pk)


def address(name: str, instrument: Instrument) -> str:
    return reverse(name, args=[instrument.stock_id])


def answer(sentence: str, claim: str, how: str = "source", **more: str) -> dict[str, str]:
    return {"claim": claim, "sentence": sentence, "how": how, "reason": "Ledger, page 41", **more}


RARE = answer("A rare model.", "rare")
TUNERS = answer("The tuners are original.", "original-part/tuners")


def open_keys(instrument: Instrument) -> list[str]:
    return [reading.found.key for reading in open_questions(whole(instrument))]


@pytest.mark.parametrize("name", ["claims", "claim-answer", "claims-read"])
def test_strangers_and_wrong_methods(client: Client, helpers_desk: Client, name: str) -> None:
    path = address(name, piece())
    wrong, right = ("post", "get") if name == "claims" else ("get", "post")
    assert getattr(client, right)(path)["Location"].startswith(reverse("log-in"))
    assert getattr(helpers_desk, wrong)(path).status_code == 405
    nowhere = reverse(name, args=[99])
    assert getattr(helpers_desk, right)(nowhere).status_code == 404


def test_the_page_says_what_is_claimed_why_and_where(helpers_desk: Client) -> None:
    instrument = piece()
    found(instrument, "tuners", "later")
    page = helpers_desk.get(address("claims", instrument)).content.decode()
    record = address("record", instrument)
    assert "The <mark>tuners are original</mark>." in page
    assert "On the record: tuners (a later replacement)." in page
    assert f'href="{record}parts/#part-tuners"' in page
    assert f'href="{record}story/#id_story"' in page
    assert "Supported when every part of the sheet was examined and is original or repaired" in page
    assert "no legal advice" in page


def test_it_reads_every_text_and_no_private_one(helpers_desk: Client) -> None:
    instrument = piece(
        story="",
        condition="No cracks.",
        setup="Professionally set up.",
        conversion_note="It was converted well.",
        made_evidence="It was built in 1931.",
    )
    instrument.provenance.create(
        kind="owned", position=1, public="The original case stayed.", private="Rare."
    )
    assert [(one.section, one.found.claim) for one in read_texts(whole(instrument))] == [
        ("condition", "no-cracks"),
        ("setup", "set-up"),
        ("conversion", "converted"),
        ("identity", "date"),
        ("provenance", "original-case"),
    ]


def test_what_the_record_says_otherwise_stops_publishing(helpers_desk: Client) -> None:
    instrument = piece(story="The tuners are original.")
    found(instrument, "tuners", "later")
    page = helpers_desk.post(address("publish", instrument)).content.decode()
    assert "The story says “tuners are original”: the record says otherwise." in page
    assert f'href="{address("claims", instrument)}#id_claim_1"' in page
    assert 'id="id_claim_1"' in helpers_desk.get(address("claims", instrument)).content.decode()
    instrument.refresh_from_db()
    assert instrument.state == "draft"
    found(instrument, "tuners", "original")
    helpers_desk.post(address("publish", instrument))
    instrument.refresh_from_db()
    assert instrument.state == "listed"


def test_what_is_not_established_needs_a_source_or_softer_words(helpers_desk: Client) -> None:
    instrument = piece(story="The tuners are original.")
    assert [missing.says for missing in questions_for_publishing(instrument)] == [
        "the story says “tuners are original”: it needs a named source, or softer words"
    ]
    Instrument.objects.filter(pk=instrument.pk).update(story="The tuners look original.")
    assert open_keys(instrument) == []
    found(instrument, "tuners", "later")
    assert open_keys(instrument) == ["original-part/tuners"], "softer words do not make it true"


def test_an_answer_is_kept_with_its_reason_and_its_author(helpers_desk: Client, helper: User) -> None:
    instrument = piece()
    assert open_keys(instrument) == ["original-part/tuners", "rare"]
    assert helpers_desk.post(address("claim-answer", instrument), RARE).status_code == 302
    assert open_keys(instrument) == ["original-part/tuners"]
    kept = ClaimAnswer.objects.get()
    assert (kept.by, kept.how, kept.reason) == (helper, "source", "Ledger, page 41")
    entry = Entry.objects.get(about_id=instrument.pk, field="answer to a claim")
    assert entry.old == "A rare model."
    assert "Ledger, page 41" in entry.new
    page = helpers_desk.get(address("claims", instrument)).content.decode()
    assert "A named source says so: Ledger, page 41" in page
    with pytest.raises(FactIsFixed):
        kept.save()


def test_a_second_press_keeps_one_answer(helpers_desk: Client) -> None:
    instrument = piece()
    for _ in range(2):
        helpers_desk.post(address("claim-answer", instrument), RARE)
    assert ClaimAnswer.objects.count() == 1
    helpers_desk.post(address("claim-answer", instrument), {**RARE, "reason": "Ledger, page 42"})
    assert [row.reason for row in ClaimAnswer.objects.all()] == ["Ledger, page 41", "Ledger, page 42"]


def test_other_words_are_another_question(helpers_desk: Client) -> None:
    instrument = piece()
    helpers_desk.post(address("claim-answer", instrument), RARE)
    Instrument.objects.filter(pk=instrument.pk).update(story="A very rare model.")
    assert open_keys(instrument) == ["rare"]
    gone = helpers_desk.post(address("claim-answer", instrument), RARE)
    assert "That sentence no longer stands on the record." in gone.content.decode()
    assert ClaimAnswer.objects.count() == 1


def test_no_source_lifts_what_the_record_says_otherwise(helpers_desk: Client, helper: User) -> None:
    instrument = piece(story="The tuners are original.")
    found(instrument, "tuners", "later")
    page = helpers_desk.post(address("claim-answer", instrument), TUNERS).content.decode()
    assert "Nothing was saved yet" in page or "errorlist" in page
    assert "Ledger, page 41" in page
    with pytest.raises(Refused) as refused:
        answer_claim(
            instrument,
            TUNERS["claim"],
            TUNERS["sentence"],
            "source",
            "Ledger",
            by=helper,
            at=timezone.now(),
        )
    assert refused.value.code == "contradicted"
    assert not ClaimAnswer.objects.exists()
    dismissed = {**TUNERS, "how": "false-alarm", "reason": "It speaks of another banjo."}
    assert helpers_desk.post(address("claim-answer", instrument), dismissed).status_code == 302
    assert open_keys(instrument) == []


def test_a_quotation_may_rest_on_its_own_source(helpers_desk: Client) -> None:
    sentence = "The letter says “the tuners are original”."
    instrument = piece(story=sentence)
    found(instrument, "tuners", "later")
    assert open_keys(instrument) == ["original-part/tuners"]
    source = answer(sentence, "original-part/tuners", reason="Letter of 1958, with the papers")
    assert helpers_desk.post(address("claim-answer", instrument), source).status_code == 302
    assert open_keys(instrument) == []


def test_an_answer_without_a_reason_is_none(helpers_desk: Client) -> None:
    instrument = piece()
    answered = helpers_desk.post(address("claim-answer", instrument), {**RARE, "reason": " "})
    assert answered.status_code == 200
    assert "errorlist" in answered.content.decode()
    assert not ClaimAnswer.objects.exists()


def test_a_sentence_over_two_lines_is_answered(helpers_desk: Client) -> None:
    instrument = piece(story="It is a rare\nand loud banjo.")
    typed = answer("It is a rare\r\nand loud banjo.", "rare")
    assert helpers_desk.post(address("claim-answer", instrument), typed).status_code == 302
    assert open_keys(instrument) == []


@pytest.mark.parametrize(
    ("section", "field"), [("story", "story"), ("condition", "condition"), ("setup", "setup")]
)
def test_it_is_read_while_it_is_typed(helpers_desk: Client, section: str, field: str) -> None:
    instrument = piece(story="A rare model.", condition="A rare model.", setup="A rare model.")
    page = helpers_desk.get(reverse("record-section", args=[instrument.stock_id, section])).content.decode()
    assert f'hx-post="{address("claims-read", instrument)}"' in page
    assert page.count("“rare”") == 1, "without a script the saved text is read"
    said = helpers_desk.post(address("claims-read", instrument), {field: "All original."}).content.decode()
    assert "“All original”" in said
    assert "Not established" in said
    assert "<html" not in said
    nothing = helpers_desk.post(address("claims-read", instrument), {field: "Dry and loud."})
    assert "These words make no claim" in nothing.content.decode()
    instrument.refresh_from_db()
    assert getattr(instrument, field) == "A rare model."


def test_the_set_up_being_typed_is_the_one_that_is_judged(helpers_desk: Client) -> None:
    typed = {"setup": "Professionally set up by Nell Tarrow in May 2026."}
    said = helpers_desk.post(address("claims-read", piece()), typed).content.decode()
    assert "Supported" in said


def test_the_list_of_sections_says_how_many_are_to_settle(helpers_desk: Client) -> None:
    assert "2 to settle" in helpers_desk.get(address("record", piece())).content.decode()


@pytest.mark.parametrize("many", [1, 6])
def test_reading_a_record_takes_a_fixed_number_of_queries(
    many: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    instrument = piece(story="A rare model. " * many + "The tuners are original.")
    for number in range(many):
        instrument.included.create(what=f"Strap {number}")
        instrument.provenance.create(kind="owned", position=number, public="A rare model.")
        instrument.dating.create(kind="other", says=f"Label {number}", when="1931")
    with django_assert_num_queries(15):
        assert read_texts(whole(instrument))


# The owner's words


def word_form(client: Client, claim: str) -> dict[str, Any]:
    rows = client.get(reverse("claim-words-of", args=[claim])).context["rows"]
    fields = [field for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() for field in fields}
    return {name: value for name, value in shown.items() if value is not None and value is not False}


def test_the_words_are_the_owners(client: Client, helpers_desk: Client, owners_desk: Client) -> None:
    for path in (reverse("claim-words"), reverse("claim-words-of", args=["rare"])):
        assert client.get(path)["Location"].startswith(reverse("log-in"))
        assert helpers_desk.get(path).status_code == 403
        assert owners_desk.get(path).status_code == 200
        assert owners_desk.put(path).status_code == 405
    assert owners_desk.get(reverse("claim-words-of", args=["no-such"])).status_code == 404


def test_every_claim_stands_there_with_its_rule(owners_desk: Client) -> None:
    page = owners_desk.get(reverse("claim-words")).content.decode()
    assert "a named source has to say it" in page
    assert "one of a kind" in page


def test_words_are_added_changed_and_removed(owners_desk: Client, owner: User) -> None:
    shown = word_form(owners_desk, "rare")
    count = int(shown["words-INITIAL_FORMS"])
    shown |= {"words-0-words": "as rare as", "words-1-DELETE": "on", f"words-{count}-words": "hen’s teeth"}
    gone = ClaimWord.objects.filter(claim="rare")[1].words
    assert owners_desk.post(reverse("claim-words-of", args=["rare"]), shown).status_code == 302
    words = set(ClaimWord.objects.filter(claim="rare").values_list("words", flat=True))
    assert {"as rare as", "hen’s teeth"} <= words
    assert gone not in words
    assert len(words) == count
    entry = Entry.objects.get(field="words for “Rare, or the only one known”")
    assert entry.by == owner
    assert "hen’s teeth" in entry.new
    instrument = piece(story="It is hen’s teeth.")
    assert open_keys(instrument) == ["rare"]


def test_saving_what_is_shown_changes_nothing(owners_desk: Client) -> None:
    before = list(ClaimWord.objects.values())
    for claim in ("rare", "original-part", "original-neck"):
        answered = owners_desk.post(reverse("claim-words-of", args=[claim]), word_form(owners_desk, claim))
        assert answered.status_code == 302
    assert list(ClaimWord.objects.values()) == before
    assert not Entry.objects.filter(field__startswith="words for").exists()


@pytest.mark.parametrize(
    ("typed", "trouble"),
    [
        ("original {bit}", "“{bit}” stands for nothing."),
        ("{part}", "Write at least one word of your own"),
        ("rare", "“rare” stands in the list twice."),
        ("x" * 81, "80"),
    ],
)
def test_words_that_cannot_be_kept_change_nothing(owners_desk: Client, typed: str, trouble: str) -> None:
    before = list(ClaimWord.objects.values())
    shown = word_form(owners_desk, "rare")
    shown[f"words-{shown['words-INITIAL_FORMS']}-words"] = typed
    answered = owners_desk.post(reverse("claim-words-of", args=["rare"]), shown)
    assert answered.status_code == 200
    assert trouble in answered.content.decode().replace("&quot;", '"')
    assert typed in answered.content.decode()
    assert list(ClaimWord.objects.values()) == before


LINK = re.compile(r'<a href="(/desk/stock/\d+/[^"#]*)(?:#([^"]+))?">')


def test_each_row_that_a_verdict_rests_on_is_linked_to_its_place(helpers_desk: Client) -> None:
    """However many they are: also those of a claim about the whole, which rests on every part."""
    instrument = piece(story="All original but for the tuners. The original tuners come with it.")
    for part in leaf_parts(instrument):
        found(instrument, part.slug, "original")
    found(instrument, "tuners", "later")
    model = instrument.model
    assert model is not None
    UsualFeature.objects.create(model=model, what="Peghead inlay", value="star", source="Catalogue, 1929")
    SeenFeature.objects.create(instrument=instrument, what="Peghead inlay", value="moon")
    Unusual.objects.create(
        instrument=instrument,
        what="Peghead inlay",
        seen="moon",
        verdict="factory",
        evidence="Under one varnish",
        at=timezone.now(),
    )
    instrument.included.create(what="Strap")
    instrument.included.create(what="Original tuners in a bag")
    instrument.dating.create(kind="other", says="Pencilled date", when="1931", source="Inside the rim")
    instrument.provenance.create(kind="owned", when="1932", position=0)
    instrument.provenance.create(kind="owned", when="1950", position=1)
    Paper.objects.create(
        instrument=instrument,
        kind="bill",
        copy="seen",
        title="Bill",
        token="7" * 32,
        received_at=timezone.now(),
    )
    page = helpers_desk.get(address("claims", instrument)).content.decode()
    every = [
        row for one in judgements(record_of(whole(instrument))) if one.judgement for row in one.judgement.rows
    ]
    links = set(LINK.findall(page.partition('<h3 id="found">')[2]))
    record = address("record", instrument)
    assert {(f"{record}{row.section}/", row.anchor) for row in every} <= links
    assert "id_included-1-what" in {anchor for _, anchor in links}
    answers = {path: helpers_desk.get(path) for path, _ in links}
    assert {answer.status_code for answer in answers.values()} == {200}
    pages = {path: answer.content.decode() for path, answer in answers.items()}
    assert [(path, place) for path, place in links if place and f'id="{place}"' not in pages[path]] == []
