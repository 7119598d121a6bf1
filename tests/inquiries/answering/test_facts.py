"""Facts and answers: drawn from the record, with unit, source and exception, and honest where it has nothing."""

from datetime import date, timedelta
from typing import Any

import pytest

from catalog.instruments.availability import Availability
from catalog.models import Finding, Included, Instrument, Measurement
from inquiries.answering.answers import (
    Answer,
    Shipping,
    Standing,
    View,
    answers,
    available,
    photographs,
    shipped_price,
)
from inquiries.answering.facts import Told, facts_of
from inquiries.answering.queries import piece_of, shipping_for, standing_for, told_of
from inquiries.answering.reading import claims_of
from inquiries.models import Inquiry
from inquiries.sales.hold_actions import place_hold
from inquiries.threads.stops import stops_in
from shop.models import HousePolicy, ShopProfile, User
from shop.profile.queries import the_shop
from tests.factories import NOON, InquiryFactory, InstrumentFactory, PhotographFactory
from tests.world import fill

TERMS = (
    "We take trades on pieces over $2,000. A piece may be sent back within the approval period. Cash is dear."
)


@pytest.fixture
def inquiry(profile: ShopProfile) -> Inquiry:
    ShopProfile.objects.update(terms=TERMS, guarantee="We stand behind what is said here.")
    return InquiryFactory(instrument=InstrumentFactory(listed=True), contact__name="Cole Withers")


def told(inquiry: Inquiry) -> Told:
    return told_of(piece_of(inquiry, at=NOON), the_shop(), at=NOON)


def sentences(inquiry: Inquiry) -> list[str]:
    return [fact.sentence for fact in facts_of(told(inquiry))]


def answer(inquiry: Inquiry, key: str) -> Answer:
    piece = piece_of(inquiry, at=NOON)
    every = answers(
        told_of(piece, the_shop(), at=NOON), standing_for(inquiry, piece, at=NOON), shipping_for(inquiry)
    )
    return next(one for one in every if one.key == key)


def find(inquiry: Inquiry, slug: str, state: str, **fields: Any) -> None:
    part = inquiry.instrument.kind.parts.get(slug=slug)
    known = {"seen": Finding.Seen.LOUPE, "examined_at": NOON} | fields
    Finding.objects.create(instrument=inquiry.instrument, part=part, state=state, **known)


def measure(inquiry: Inquiry, slug: str, amount: int | None = None, unit: str = "", word: str = "") -> None:
    row = inquiry.instrument.kind.measures.get(slug=slug)
    Measurement.objects.create(
        instrument=inquiry.instrument, measure=row, amount=amount, unit=unit, word=word
    )


def test_a_fact_says_its_source_and_its_exception_in_the_same_sentence(inquiry: Inquiry) -> None:
    find(
        inquiry,
        "tuners",
        "period",
        original_kept=True,
        original_where="In the case",
        certainty="likely",
        evidence="Other screws",
    )
    find(inquiry, "rim", "original")
    find(inquiry, "frets", "repaired", seen=Finding.Seen.TOLD)
    said = sentences(inquiry)
    assert (
        "The tuners are period-correct replacements; the originals come with it, in the case (likely, not "
        "certain; seen with a loupe; other screws)." in said
    )
    assert "The rim is original (seen with a loupe)." in said
    assert "The frets are original, and repaired (as told to us)." in said
    assert any(one.startswith("We have not examined the ") and "neck and heel" in one for one in said)


@pytest.mark.parametrize(
    ("slug", "amount", "unit", "word", "says"),
    [
        (
            "scale-length",
            1680,
            "in64",
            "",
            "The scale length is 26¼ in (667 mm), measured in inches.",
        ),
        (
            "nut-width",
            310,
            "mm10",
            "",
            "The width at the nut is 31 mm (1 7/32 in), measured in millimetres.",
        ),
        (
            "weight",
            696,
            "oz4",
            "",
            "The weight is 10 lb 14 oz (4.93 kg), weighed in pounds and ounces.",
        ),
        (
            "action-12",
            6,
            "in64",
            "",
            "The action at the twelfth fret is 3/32 in (2.4 mm), measured in inches, as it is set up now.",
        ),
        ("hooks", 24, "count", "", "We count 24 hooks."),
        ("neck-shape", None, "", "soft V", "The neck shape is soft V."),
        ("head-material", None, "", "not examined", "We have not examined the head material."),
    ],
)
def test_a_measure_stands_in_both_systems_and_says_how_it_was_taken(
    slug: str, amount: int | None, unit: str, word: str, says: str, inquiry: Inquiry
) -> None:
    measure(inquiry, slug, amount, unit, word)
    assert says in sentences(inquiry)


def test_every_fact_names_a_place_on_the_record(inquiry: Inquiry, owner: User) -> None:
    fill(inquiry.instrument, owner)
    facts = facts_of(told(inquiry))
    assert {"Originality", "Date of make", "What it is", "Measurements", "Condition and set-up"} <= {
        fact.theme for fact in facts
    }
    assert {"What comes with it", "Where it has been", "Price and terms"} <= {fact.theme for fact in facts}
    assert all(fact.source and fact.section and fact.sentence.endswith((".", "!", "?")) for fact in facts)


def test_the_guarantee_is_said_with_its_exceptions(inquiry: Inquiry) -> None:
    find(inquiry, "tuners", "later")
    guarantee = next(one for one in sentences(inquiry) if one.startswith("We stand behind"))
    assert "on this piece with these exceptions" in guarantee
    assert "the tuners are later replacements" in guarantee


def test_no_fact_and_no_answer_is_stopped_as_a_letter(inquiry: Inquiry, owner: User) -> None:
    fill(inquiry.instrument, owner)
    for number, state in enumerate(Finding.State.values):
        part = inquiry.instrument.kind.parts.filter(children=None)[number + 2]
        Finding.objects.create(
            instrument=inquiry.instrument, part=part, state=state, seen="eye", examined_at=NOON
        )
    piece = piece_of(inquiry, at=NOON)
    known = told_of(piece, the_shop(), at=NOON)
    said = [fact.sentence for fact in facts_of(known) if fact.section not in {"story", "condition", "setup"}]
    said += [one.text for one in answers(known, standing_for(inquiry, piece, at=NOON), Shipping())]
    for sentence in said:
        assert [stop for stop in stops_in(sentence, inquiry) if not stop.gives_way] == [], sentence
    assert not [claim for sentence in said for claim in claims_of(sentence, piece) if claim.contradicted]


def test_private_things_are_never_among_them(inquiry: Inquiry, owner: User) -> None:
    fill(inquiry.instrument, owner)
    piece = inquiry.instrument
    canary = "Quetzalcoatl"
    piece.acquisition.seller = piece.acquisition.note = piece.acquisition.seller_contact = canary
    piece.acquisition.save()
    Finding.objects.filter(instrument=piece).update(work_by=canary, seen_by=canary)
    piece.provenance.update(private=canary, person=canary)
    piece.papers.update(note=canary, from_whom=canary)
    piece.dating.update(note=canary)
    Instrument.objects.filter(pk=piece.pk).update(floor_price=8765)
    said = " ".join(
        [*sentences(inquiry), *(answer(inquiry, key).text for key in ("available", "originality", "shipped"))]
    )
    assert canary not in said
    assert "8765" not in said.replace(",", "")
    assert "120" not in said


def test_whether_it_is_available_is_told_with_hold_and_queue_and_without_names(
    inquiry: Inquiry, owner: User
) -> None:
    assert answer(inquiry, "available").text == "Yes, it is still available."
    other = InquiryFactory(instrument=inquiry.instrument, contact__name="Nell Tarrow")
    place_hold(inquiry.instrument, other, by=owner, at=NOON)
    text = answer(inquiry, "available").text
    assert text.startswith("It is on hold until ")
    assert text.endswith("if you like, we write you down as first in the queue.")
    assert "Tarrow" not in text
    assert answer(other, "available").text.startswith("Yes: we hold it for you until ")
    place_hold(inquiry.instrument, inquiry, by=owner, at=NOON + timedelta(minutes=1))
    assert answer(inquiry, "available").text.endswith("you stand first in the queue.")
    third = InquiryFactory(instrument=inquiry.instrument)
    assert "one person stands in the queue behind that" in answer(third, "available").text


@pytest.mark.parametrize("state", ["sold", "draft"])
def test_what_is_not_for_sale_is_said_not_to_be(state: str, profile: ShopProfile) -> None:
    traits = {"sold": True} if state == "sold" else {}
    inquiry = InquiryFactory(instrument=InstrumentFactory(**traits))
    expected = {"sold": "It has been sold.", "draft": "It is not offered for sale at present."}
    assert answer(inquiry, "available").text == expected[state]


def test_what_the_record_lacks_is_said_and_told_to_the_desk(inquiry: Inquiry) -> None:
    weight, neck, original = (answer(inquiry, key) for key in ("weight", "neck", "originality"))
    assert weight.text == "We have not weighed it yet; we shall do so and write to you."
    assert [(one.says, one.section) for one in weight.missing] == [("no weight", "measurements")]
    assert "We have not measured the neck, the nut and the action yet" in neck.text
    assert {one.section for one in neck.missing} == {"measurements", "setup"}
    assert original.text.startswith("We have not examined it part by part yet.")
    assert original.missing[0].section == "parts"


def test_shipping_is_never_a_figure_that_nobody_agreed(inquiry: Inquiry) -> None:
    ShopProfile.objects.update(carriers="Mule Train\nRiver Post\nCollected in person")
    text = answer(inquiry, "shipped").text
    assert text.startswith("The price is $12,500. Shipping is not in it: we quote it once")
    assert "We send by Mule Train or River Post." in text
    assert "Please tell us where it would go to." in text
    assert text.count("$") == 1
    agreed = shipped_price(told(inquiry), Shipping(agreed="$140", where=True)).text
    assert "Shipping, as we have agreed, is $140." in agreed
    assert "where" not in agreed


def test_trade_and_return_quote_the_terms_and_say_when_there_are_none(inquiry: Inquiry) -> None:
    assert answer(inquiry, "trade").text.startswith("We take trades on pieces over $2,000.")
    returns = answer(inquiry, "returns")
    assert returns.text == (
        "You have 48 hours from delivery to try it and to send it back. A piece may be sent back within the "
        "approval period."
    )
    assert returns.missing == ()
    ShopProfile.objects.update(terms="")
    HousePolicy.objects.create(starts=date(2026, 1, 1), approval_hours=0, at=NOON)
    assert answer(inquiry, "trade").missing[0].section == "shop"
    assert answer(inquiry, "returns").text == "A piece is not sent on approval."


@pytest.mark.parametrize(
    ("part", "shown"),
    [
        ("Tuners", ["a"]),
        ("Neck and heel", ["b"]),
        ("Brackets or shoes", ["c"]),
        ("Rim", []),
        ("Peghead", ["d"]),
    ],
)
def test_photographs_of_a_part_are_found_by_finding_view_and_caption(part: str, shown: list[str]) -> None:
    views = [
        View(1, "a", ("tuners",)),
        View(2, "b: the heel from below"),
        View(3, "c: a shoe"),
        View(4, "d: Peghead, front"),
        View(5, "trimmed"),
    ]
    found = photographs(part, views)
    assert [view[0] in found.text.replace("“", " “") for view in shown] == [True] * len(shown)
    assert bool(found.missing) == (not shown)
    if not shown:
        assert found.text.startswith("We have no photograph yet that shows the rim")


def test_a_standing_that_is_being_sold_names_no_end() -> None:
    said = available(
        Standing(Availability.ON_HOLD, selling=True, until="Friday", next_place="first in the queue")
    ).text
    assert said == "It is being bought at this moment; if you like, we write you down as first in the queue."


def test_what_comes_with_it_is_one_sentence(inquiry: Inquiry) -> None:
    for what in ("Original hard case", "A strap."):
        Included.objects.create(instrument=inquiry.instrument, what=what)
    PhotographFactory(instrument=inquiry.instrument)
    assert "With it comes: original hard case; a strap." in sentences(inquiry)
