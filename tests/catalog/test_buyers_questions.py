"""What a record leaves open, in the order in which buyers ask. The order: common practice, no source."""

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from catalog.models import DatingEvidence, Finding, Provenance, Recording
from catalog.publishing.queries import buyers_questions
from catalog.publishing.rules import TOPICS, Open, Place, Question, questions
from tests.factories import NOON, InstrumentFactory, PhotographFactory

P = Place


@pytest.mark.parametrize(
    ("left_open", "expected"),
    [
        ([], []),
        (
            [Open(P.PAST)],
            [Question("Where it has been", "nothing is said of where it has been", "provenance")],
        ),
        (
            [Open(P.SOUND), Open(P.MEASURE, "Weight"), Open(P.MEASURE, "Action at the twelfth fret")],
            [
                Question("Neck and action", "not measured: action at the twelfth fret", "measurements"),
                Question("Weight", "not measured: weight", "measurements"),
                Question("Sound", "nothing lets a buyer hear it", "recordings"),
            ],
        ),
        (
            [
                Open(P.PART, "Frets"),
                Open(P.PART, "Tailpiece"),
                Open(P.MEASURE, "Frets"),
                Open(P.PART, "Case"),
            ],
            [
                Question("Frets", "not examined: frets; not measured: frets", "parts"),
                Question("Repairs and changed parts", "not examined: tailpiece", "parts"),
                Question("Case", "not examined: case", "parts"),
            ],
        ),
        (
            [Open(P.VIEW, f"View {n}") for n in range(7)],
            [Question("Pictures", "no picture: view 0, view 1, view 2, view 3, 3 more", "pictures")],
        ),
    ],
)
def test_the_questions_left_open(left_open: list[Open], expected: list[Question]) -> None:
    assert questions(left_open) == expected


THINGS = st.builds(Open, st.sampled_from(Place), st.sampled_from(["Neck", "Frets", "Case", "Rim", "Label"]))


@given(st.lists(THINGS))
def test_every_open_thing_has_one_topic_and_the_order_stands(left_open: list[Open]) -> None:
    topics = [question.topic for question in questions(left_open)]
    order = [topic.name for topic in TOPICS]
    assert topics == sorted(set(topics), key=order.index)
    assert bool(topics) == bool(left_open)


@given(st.lists(THINGS, min_size=1))
def test_answering_one_thing_asks_nothing_new(left_open: list[Open]) -> None:
    before = {question.topic for question in questions(left_open)}
    assert {question.topic for question in questions(left_open[1:])} <= before


@pytest.mark.django_db
def test_a_record_answers_one_after_the_other() -> None:
    piece = InstrumentFactory()
    asked = [question.topic for question in buyers_questions(piece)]
    assert asked == [topic.name for topic in TOPICS]

    piece.hear_at = "https://films.example/1"
    for part in piece.kind.parts.filter(children=None):
        Finding.objects.create(instrument=piece, part=part, state="original", seen="eye", examined_at=NOON)
    for view in piece.kind.views.all():
        PhotographFactory(instrument=piece, view=view)
    DatingEvidence.objects.create(instrument=piece, kind="number", says="Rim number", when="1931")
    Provenance.objects.create(instrument=piece, kind="made", when="1931", public="At the works.")
    left = [question.topic for question in buyers_questions(piece)]
    assert left == ["Neck and action", "Frets", "Weight", "Other measurements"]


@pytest.mark.django_db
def test_a_recording_that_is_ready_answers_for_the_sound() -> None:
    piece = InstrumentFactory()
    row = Recording.objects.create(
        instrument=piece, what="sound", original_name="a.wav", suffix="wav", bytes=1, received_at=NOON
    )
    assert "Sound" in [question.topic for question in buyers_questions(piece)]
    Recording.objects.filter(pk=row.pk).update(state="ready", seconds=1)
    assert "Sound" not in [question.topic for question in buyers_questions(piece)]
    Recording.objects.filter(pk=row.pk).update(state="off")
    assert "Sound" in [question.topic for question in buyers_questions(piece)]


@pytest.mark.django_db
def test_the_record_shows_them_beside_what_stops_publishing(helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    page = helpers_desk.get(f"/desk/stock/{piece.stock_id}/").content.decode()
    assert "What a buyer would ask next" in page
    assert page.index("Neck and action") < page.index("Where it has been")
