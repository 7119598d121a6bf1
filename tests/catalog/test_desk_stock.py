"""The stock at the desk, and a new record."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalog.models import FoundNumber, Instrument, Kind, Maker, Photograph
from inquiries.models import Hold
from tests.factories import InquiryFactory, InstrumentFactory, MakerFactory, ModelFactory, PhotographFactory

pytestmark = pytest.mark.django_db


def listed_numbers(client: Client, **query: str) -> list[int]:
    answer = client.get(reverse("stock"), query)
    return [row.instrument.stock_id for row in answer.context["rows"]]


def hold_on(instrument: Instrument) -> None:
    now = timezone.now()
    inquiry = InquiryFactory(instrument=instrument)
    Hold.objects.create(
        instrument=instrument,
        inquiry=inquiry,
        contact=inquiry.contact,
        state=Hold.State.ACTIVE,
        hours=48,
        asked_at=now,
        starts_at=now - timedelta(hours=1),
        until=now + timedelta(hours=47),
    )


def test_a_row_says_number_name_state_price_days_and_what_is_missing(helpers_desk: Client) -> None:
    InstrumentFactory(listed=True, stock__number=7001, listed_at=timezone.now() - timedelta(days=31, hours=2))
    draft = InstrumentFactory(stock__number=7002, asking_price=None, story="")
    page = helpers_desk.get(reverse("stock")).content.decode()
    assert "Meadowlark No. 3" in page
    assert "Available" in page
    assert "$12,500" in page
    assert '<td class="number">31</td>' in page
    # Parts, story, price, pictures: four things, as the record's own list says.
    assert "4 missing" in page
    assert reverse("publish", args=[draft.stock_id]) in page


def test_the_lead_picture_stands_in_its_row(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    PhotographFactory(instrument=instrument, position=0)
    lead = PhotographFactory(instrument=instrument, position=1, lead=True)
    waiting = PhotographFactory(instrument=instrument, state=Photograph.State.WAITING, position=2)
    page = helpers_desk.get(reverse("stock")).content.decode()
    assert reverse("picture", args=[lead.token, 400, "jpg"]) in page
    assert waiting.token not in page


def test_each_state_can_be_chosen_and_on_hold_is_one(helpers_desk: Client) -> None:
    draft = InstrumentFactory()
    free, held = InstrumentFactory(listed=True), InstrumentFactory(listed=True)
    sold = InstrumentFactory(sold=True)
    withdrawn = InstrumentFactory(state=Instrument.State.WITHDRAWN)
    hold_on(held)
    found = {
        state: listed_numbers(helpers_desk, state=state)
        for state in ("draft", "available", "on-hold", "sold", "withdrawn")
    }
    assert found == {
        "draft": [draft.stock_id],
        "available": [free.stock_id],
        "on-hold": [held.stock_id],
        "sold": [sold.stock_id],
        "withdrawn": [withdrawn.stock_id],
    }
    assert "On hold" in helpers_desk.get(reverse("stock"), {"state": "on-hold"}).content.decode()


@pytest.mark.parametrize("text", ["thistlewood", "7301", "guild heron", "x-99", "thistlewood 1931"])
def test_text_finds_maker_model_number_and_what_stands_on_it(helpers_desk: Client, text: str) -> None:
    maker = MakerFactory(name="Thistlewood Bros.")
    wanted = InstrumentFactory(stock__number=7301, model=ModelFactory(maker=maker, name="Guild Heron"))
    FoundNumber.objects.create(instrument=wanted, value="X-991", where="on the dowel")
    FoundNumber.objects.create(instrument=wanted, value="X-992", where="on the rim")
    InstrumentFactory(stock__number=7302)
    assert listed_numbers(helpers_desk, q=text) == [7301]


def test_a_state_that_is_none_narrows_nothing(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    assert listed_numbers(helpers_desk, state="melted") == [instrument.stock_id]


def test_nothing_found_and_nothing_there_say_what_to_do_next(helpers_desk: Client) -> None:
    assert "The stock book is empty." in helpers_desk.get(reverse("stock")).content.decode()
    InstrumentFactory()
    page = helpers_desk.get(reverse("stock"), {"q": "zzz"}).content.decode()
    assert "Nothing here answers to that." in page


def queries_for_stock(client: Client) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert client.get(reverse("stock")).status_code == 200
    return len(queries)


def test_ten_and_a_thousand_cost_the_same_number_of_queries(helpers_desk: Client) -> None:
    model = ModelFactory()
    InstrumentFactory.create_batch(10, model=model)
    for instrument in Instrument.objects.all():
        PhotographFactory(instrument=instrument, lead=True)
    few = queries_for_stock(helpers_desk)
    InstrumentFactory.create_batch(990, model=model)
    page = helpers_desk.get(reverse("stock"))
    assert page.context["page_obj"].paginator.count == 1000
    assert len(page.context["rows"]) == 50
    assert queries_for_stock(helpers_desk) == few


def test_the_list_has_pages(helpers_desk: Client) -> None:
    InstrumentFactory.create_batch(51, model=ModelFactory())
    assert len(listed_numbers(helpers_desk)) == 50
    assert len(listed_numbers(helpers_desk, page="2")) == 1


@pytest.mark.parametrize("name", ["stock", "stock-new"])
def test_a_stranger_is_sent_to_the_log_in(client: Client, name: str) -> None:
    answer = client.get(reverse(name))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("log-in"))


def test_the_stock_is_only_read(helpers_desk: Client) -> None:
    assert helpers_desk.post(reverse("stock")).status_code == 405


def first_facts(**typed: str) -> dict[str, Any]:
    banjo = Kind.objects.get(slug="banjo")
    return {"entry": str(uuid.uuid4()), "kind": banjo.pk, "maker": "", "model": "", **typed}


def open_one(client: Client, **typed: str) -> int:
    return client.post(reverse("stock-new"), first_facts(**typed)).status_code


def test_a_new_record_takes_the_next_number_and_a_new_name(helpers_desk: Client) -> None:
    assert open_one(helpers_desk, maker="  Pennywhistle   &  Rook ", model="Wren") == 302
    instrument = Instrument.objects.get()
    assert instrument.stock_id == 1001
    assert str(instrument.model) == "Pennywhistle & Rook Wren"
    assert instrument.state == Instrument.State.DRAFT


def test_a_known_maker_is_not_written_twice_whatever_the_capitals(helpers_desk: Client) -> None:
    known = MakerFactory(name="Thistlewood Bros.")
    open_one(helpers_desk, maker="THISTLEWOOD bros.")
    assert Instrument.objects.get().maker == known
    assert Maker.objects.count() == 1


def test_a_model_without_its_maker_opens_nothing_and_stays_typed(helpers_desk: Client) -> None:
    answer = helpers_desk.post(reverse("stock-new"), first_facts(model="Wren"))
    assert answer.status_code == 200
    assert "A model needs its maker" in answer.content.decode()
    assert 'value="Wren"' in answer.content.decode()
    assert not Instrument.objects.exists()


def test_two_presses_of_one_form_open_one_record(helpers_desk: Client) -> None:
    shown = helpers_desk.get(reverse("stock-new")).context["form"]["entry"].value()
    assert helpers_desk.get(reverse("stock-new")).context["form"]["entry"].value() != shown
    facts = first_facts(entry=str(shown))
    helpers_desk.post(reverse("stock-new"), facts)
    again = helpers_desk.post(reverse("stock-new"), facts, follow=True)
    assert "open already" in again.content.decode()
    assert Instrument.objects.count() == 1


def test_two_forms_open_two_numbers(helpers_desk: Client) -> None:
    open_one(helpers_desk)
    open_one(helpers_desk)
    assert sorted(Instrument.objects.values_list("stock_id", flat=True)) == [1001, 1002]
