"""Jobs of repair and set-up: what and when for everybody at the desk, who and for how much for the owner alone."""

import uuid
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Cost, Instrument, Work
from shop.models import Entry
from tests.factories import InstrumentFactory

pytestmark = pytest.mark.django_db


def page(desk: Client, piece: Instrument) -> str:
    return desk.get(reverse("work", args=[piece.stock_id])).text


def give(desk: Client, piece: Instrument, **values: str) -> dict[str, str]:
    plain = {
        "entry": str(uuid.uuid4()),
        "kind": "repair",
        "what": "Neck reset",
        "who": "Tobit Hale",
        "begun_on": "2026-05-04",
        "estimate": "717",
    }
    form = {f"work-{name}": value for name, value in (plain | values).items()}
    desk.post(reverse("work-give", args=[piece.stock_id]), form)
    return form


def back(desk: Client, work: Work, **values: str) -> str:
    plain = {"done_on": "2026-05-20", "outcome": "Neck reset, frets dressed", "cost": "818.50"}
    form = {f"back-{work.pk}-{name}": value for name, value in (plain | values).items()}
    path = reverse("work-back", args=[work.instrument.stock_id, work.pk])
    return desk.post(path, form, follow=True).text


def test_a_job_goes_out_and_comes_back_with_its_cost(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    give(owners_desk, piece)
    assert "Tobit Hale" in page(owners_desk, piece)
    back(owners_desk, Work.objects.get())
    work, cost = Work.objects.get(), Cost.objects.get()
    assert (work.outcome, f"{work.done_on}", work.cost) == ("Neck reset, frets dressed", "2026-05-20", cost)
    assert (cost.kind, cost.amount, cost.note, cost.currency) == (
        "repair",
        Decimal("818.50"),
        "Neck reset",
        "USD",
    )
    shown = page(owners_desk, piece)
    assert "Nothing is out." in shown
    assert "$818.50" in shown


def test_a_helper_reads_what_and_when_and_no_more(owners_desk: Client, helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    give(owners_desk, piece)
    give(owners_desk, piece, what="New strings")
    back(owners_desk, Work.objects.earliest("pk"))
    seen = [
        page(helpers_desk, piece),
        helpers_desk.get(reverse("record-history", args=[piece.stock_id])).text,
    ]
    for text in seen:
        assert "Neck reset, frets dressed" in text
        assert "New strings" in text
        for private in ("Tobit Hale", "717", "818.50"):
            assert private not in text
    assert "<form" not in seen[0].partition('class="record-matter"')[2]
    assert helpers_desk.post(reverse("work-give", args=[piece.stock_id]), {}).status_code == 403


def test_the_history_has_every_change(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    give(owners_desk, piece)
    back(owners_desk, Work.objects.get())
    told = Entry.objects.filter(field__in=["work", "terms of the work"]).order_by("pk")
    assert [(entry.verb, entry.new) for entry in told] == [
        ("given out", "Repair: Neck reset, 4 May 2026"),
        ("given out", "Tobit Hale, estimated at $717"),
        ("came back", "Neck reset, frets dressed, 20 May 2026"),
    ]


def test_two_presses_are_one(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    form = give(owners_desk, piece)
    owners_desk.post(reverse("work-give", args=[piece.stock_id]), form)
    assert Work.objects.count() == 1
    for _ in range(2):
        back(owners_desk, Work.objects.get())
    assert Cost.objects.count() == 1


def test_without_an_amount_no_cost_is_added(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    give(owners_desk, piece, estimate="")
    back(owners_desk, Work.objects.get(), cost="")
    assert Work.objects.get().done_on
    assert not Cost.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"done_on": "2026-05-03"}, "It was given out on 4 May 2026"),
        ({"done_on": ""}, "This field is required."),
        ({"cost": "plenty"}, "cannot be read"),
        ({"outcome": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_kept_stays_typed(owners_desk: Client, wrong: dict[str, str], says: str) -> None:
    piece = InstrumentFactory()
    give(owners_desk, piece)
    shown = back(owners_desk, Work.objects.get(), **wrong)
    assert says in shown
    assert ("818.50" if "cost" not in wrong else "plenty") in shown
    assert Work.objects.get().done_on is None
    assert not Cost.objects.exists()


def test_a_job_that_is_back_does_not_come_back_otherwise(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    give(owners_desk, piece)
    back(owners_desk, Work.objects.get())
    shown = back(owners_desk, Work.objects.get(), outcome="Something else")
    assert "This job has come back already." in shown
    assert Work.objects.get().outcome == "Neck reset, frets dressed"
