"""The speaker's sheet at the desk: what it shows, what can be done with it, who may, and that it prints on one page."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import BrowserContext, Page

from catalog.claims.actions import answer_claim
from catalog.desk.sections import SECTIONS
from catalog.features.rules import place_of
from catalog.models import (
    Acquisition,
    FoundNumber,
    Included,
    Instrument,
    Provenance,
    SeenFeature,
    SpokenLine,
    Unusual,
    UsualFeature,
)
from catalog.public.queries import pages
from catalog.speaking import actions
from catalog.speaking.queries import sheet_of
from catalog.speaking.rules import KEYS, LABELS, LINES, MOST, Spoken
from shop.history.models import Entry
from shop.models import User
from shop.profile.queries import the_shop
from tests.factories import NOON, PASSWORD, InstrumentFactory, OwnerFactory, ShopFactory
from tests.support.papers import Paper


@pytest.fixture
def instrument(db: None) -> Instrument:
    ShopFactory(telephone="+1 555 0140")
    instrument = InstrumentFactory(listed=True, setup="Strung with light strings.", floor_price=Decimal(9000))
    Included.objects.create(instrument=instrument, what="Original hard case")
    return instrument


def sheet(instrument: Instrument) -> list[Spoken]:
    found = pages(Instrument.objects.all(), at=NOON).prefetch_related("spoken_lines")
    return sheet_of(found.get(pk=instrument.pk), the_shop())


def line(instrument: Instrument, key: str) -> Spoken:
    return next(spoken for spoken in sheet(instrument) if spoken.line.key == key)


def order(instrument: Instrument) -> list[str]:
    return [spoken.line.key for spoken in sheet(instrument)]


def press(desk: Client, instrument: Instrument, deed: str, key: str, **typed: str) -> Any:
    address = reverse("speaker", args=[instrument.stock_id])
    return desk.post(address, {"deed": deed, "line": key, **typed})


def told_in_history() -> list[tuple[str, str]]:
    return [(entry.old, entry.new) for entry in Entry.objects.filter(field="speaker’s sheet").order_by("pk")]


# What it says


def test_it_is_read_in_the_usual_order_from_the_record(instrument: Instrument, helpers_desk: Client) -> None:
    assert order(instrument) == list(KEYS)
    page = helpers_desk.get(reverse("speaker", args=[instrument.stock_id])).text
    for said in (instrument.condition, "Strung with light strings.", "Original hard case.", "$12,500."):
        assert said in page
    assert "Nothing is written yet." in page
    assert f'href="/desk/stock/{instrument.stock_id}/condition/#id_condition"' in page


def test_each_line_leads_to_a_section_of_the_record() -> None:
    assert {section for _, _, section, *_ in LINES} <= {section.slug for section in SECTIONS}


def test_the_record_lists_it_among_its_sections(instrument: Instrument, helpers_desk: Client) -> None:
    page = helpers_desk.get(reverse("record", args=[instrument.stock_id])).text
    assert f'href="{reverse("speaker", args=[instrument.stock_id])}"' in page


PRICES: list[tuple[dict[str, Any], str]] = [
    ({}, "$12,500."),
    (
        {"asking_price": None, "price_on_request": True},
        "Price on request: telephone +1 555 0140 or write to desk@harrowlane.example.",
    ),
    ({"state": "draft", "asking_price": None}, ""),
    ({"state": "sold", "sold_at": NOON}, "Sold."),
]


@pytest.mark.parametrize(("values", "said"), PRICES)
def test_the_price_or_how_to_ask(values: dict[str, Any], said: str, instrument: Instrument) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(**values)
    assert line(instrument, "price").words == said


def test_oddities_are_faint_numbers_and_years_out_of_sight(instrument: Instrument) -> None:
    FoundNumber.objects.create(instrument=instrument, value="4417", where="on the rim", legibility="faint")
    FoundNumber.objects.create(instrument=instrument, value="12", where="on the neck")
    Provenance.objects.create(instrument=instrument, when="1951 to 1974", kind=Provenance.Kind.OUT_OF_SIGHT)
    said = line(instrument, "oddities").words
    assert said.startswith("Serial number 4417, on the rim: faint.")
    assert "1951" in said
    assert "on the neck" not in said


def test_why_it_is_rare_is_what_a_named_source_says_and_what_the_factory_did(
    instrument: Instrument, helpers_desk: Client
) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(story="One of forty made. A rare model. Loud.")
    instrument.refresh_from_db()
    UsualFeature.objects.create(
        model=instrument.model, what="Peghead inlay", value="star", source="Catalogue, 1929"
    )
    SeenFeature.objects.create(instrument=instrument, what="Peghead inlay", value="moon")
    assert line(instrument, "unusual").words == "", "what is not settled is not said"
    answer_claim(
        instrument,
        "one-of/forty",
        "One of forty made.",
        "source",
        "Ledger of the works, page 41",
        by=None,
        at=NOON,
    )
    answer_claim(
        instrument, "rare", "A rare model.", "false-alarm", "It says nothing of it", by=None, at=NOON
    )
    Unusual.objects.create(
        instrument=instrument,
        what="Peghead inlay",
        seen="moon",
        verdict="factory",
        evidence="One varnish",
        at=NOON,
    )
    assert line(instrument, "unusual").words == (
        "One of forty made (Ledger of the works, page 41). Peghead inlay: moon, factory work."
    )


LINK = re.compile(r'<a href="(/desk/stock/\d+/[a-z]+/)(?:#([^"]+))?">')


def test_each_line_and_each_row_it_is_drawn_from_lead_to_a_place_that_is_there(
    instrument: Instrument, helpers_desk: Client
) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(story="Perhaps one of forty made.", made="1931")
    UsualFeature.objects.create(
        model=instrument.model, what="Peghead inlay", value="star", source="Catalogue, 1929"
    )
    SeenFeature.objects.create(instrument=instrument, what="Peghead inlay", value="moon")
    Unusual.objects.create(
        instrument=instrument,
        what="Peghead inlay",
        seen="moon",
        verdict="later",
        evidence="Two varnishes",
        at=NOON,
    )
    FoundNumber.objects.create(instrument=instrument, value="12", where="on the neck")
    FoundNumber.objects.create(instrument=instrument, value="4417", where="on the rim", legibility="faint")
    Provenance.objects.create(instrument=instrument, when="1951 to 1974", kind=Provenance.Kind.OUT_OF_SIGHT)
    page = helpers_desk.get(reverse("speaker", args=[instrument.stock_id])).text
    links = set(LINK.findall(page.partition('<ol class="speaker')[2]))
    wanted = ("claims#id_claim_1", f"unusual#{place_of('Peghead inlay')}", "numbers#id_numbers-1-value")
    record = reverse("record", args=[instrument.stock_id])
    for place in (*wanted, "provenance#open", "price#id_asking_price", "included#id_included-0-what"):
        section, anchor = place.split("#")
        assert (f"{record}{section}/", anchor) in links, place
    for path, anchor in links:
        there = helpers_desk.get(path).text
        assert not anchor or f'id="{anchor}"' in there, (path, anchor)


def test_neither_seller_nor_floor_nor_private_notes_are_on_it(
    instrument: Instrument, owners_desk: Client
) -> None:
    Acquisition.objects.create(
        instrument=instrument, how="bought", seller="Odo Marsh", on=NOON.date(), note="Paid in cash"
    )
    Provenance.objects.create(
        instrument=instrument, when="1931", kind=Provenance.Kind.OWNED, public="Kept", private="Of Ida Fenn"
    )
    page = owners_desk.get(reverse("speaker", args=[instrument.stock_id])).text
    for secret in ("Odo Marsh", "9,000", "9000", "Paid in cash", "Ida Fenn"):
        assert secret not in page


# What can be done with it


def test_a_line_is_reworded_and_given_back(
    instrument: Instrument, helpers_desk: Client, helper: User
) -> None:
    seen = line(instrument, "setup").line.words
    answer = press(
        helpers_desk, instrument, "reword", "setup", words="Light  strings,\r\nlow action", from_record=seen
    )
    assert answer["Location"] == f"{reverse('speaker', args=[instrument.stock_id])}#line-setup"
    assert line(instrument, "setup").words == "Light strings, low action"
    assert not line(instrument, "setup").changed
    press(helpers_desk, instrument, "reword", "setup", words="", from_record=seen)
    assert line(instrument, "setup").words == seen
    assert not line(instrument, "setup").own
    assert told_in_history() == [
        ("Set-up: as the record gives it", "Set-up: Light strings, low action"),
        ("Set-up: Light strings, low action", "Set-up: as the record gives it"),
    ]
    assert Entry.objects.filter(field="speaker’s sheet").values_list("by", flat=True)[0] == helper.pk


def test_the_records_own_words_are_no_rewording(instrument: Instrument, helpers_desk: Client) -> None:
    seen = line(instrument, "setup").line.words
    press(helpers_desk, instrument, "reword", "setup", words=seen, from_record=seen)
    assert not SpokenLine.objects.exists()
    assert told_in_history() == []


def test_a_second_press_changes_nothing(instrument: Instrument, helpers_desk: Client) -> None:
    for _ in range(2):
        press(helpers_desk, instrument, "reword", "tone", words="Dry and quick", from_record="")
        press(helpers_desk, instrument, "leave-out", "story")
    assert len(told_in_history()) == 2


def test_it_says_when_the_record_has_changed_since(instrument: Instrument, helpers_desk: Client) -> None:
    seen = line(instrument, "setup").line.words
    press(helpers_desk, instrument, "reword", "setup", words="Light strings", from_record=seen)
    address = reverse("speaker", args=[instrument.stock_id])
    assert "The record has changed" not in helpers_desk.get(address).text
    Instrument.objects.filter(pk=instrument.pk).update(setup="Strung with gut.")
    page = helpers_desk.get(address).text
    assert "The record has changed since you wrote this. It says now: <span>“Strung with gut.”</span>" in page
    assert "Light strings" in page
    Instrument.objects.filter(pk=instrument.pk).update(setup="")
    assert "and says nothing of it now" in helpers_desk.get(address).text


def test_too_many_words_are_refused_and_stay_as_typed(instrument: Instrument, helpers_desk: Client) -> None:
    typed = "word " * 80
    answer = press(
        helpers_desk, instrument, "reword", "setup", words=typed, from_record="Strung with light strings."
    )
    assert answer.status_code == 200
    assert "These are 399 characters; 200 fit." in answer.text
    assert typed.strip() in answer.text
    assert 'id="reword-setup" open' in answer.text
    assert not SpokenLine.objects.exists()


def test_lines_are_moved_past_those_that_are_heard(instrument: Instrument, helpers_desk: Client) -> None:
    press(helpers_desk, instrument, "leave-out", "condition")
    press(helpers_desk, instrument, "earlier", "originality")
    heard = [spoken.line.key for spoken in sheet(instrument) if not spoken.left_out]
    assert heard[:3] == ["what", "originality", "unusual"]
    press(helpers_desk, instrument, "later", "originality")
    press(helpers_desk, instrument, "put-back", "condition")
    assert sorted(order(instrument)) == sorted(KEYS)
    assert order(instrument)[:4] == ["what", "unusual", "condition", "originality"]


def test_a_line_at_the_end_stays_there_without_a_word_in_the_history(
    instrument: Instrument, helper: User
) -> None:
    assert not actions.move(instrument, KEYS[0], -1, by=helper, at=NOON)
    assert not actions.move(instrument, KEYS[-1], 1, by=helper, at=NOON)
    assert told_in_history() == []
    assert not SpokenLine.objects.exists()


def test_a_move_is_told_in_the_history_by_the_names_of_the_lines(
    instrument: Instrument, helper: User
) -> None:
    actions.move(instrument, "unusual", -1, by=helper, at=NOON)
    before = [LABELS[key] for key in KEYS]
    after = [before[1], before[0], *before[2:]]
    assert told_in_history() == [(", ".join(before), ", ".join(after))]


def test_words_and_place_stay_while_a_line_is_left_out(instrument: Instrument, helpers_desk: Client) -> None:
    press(helpers_desk, instrument, "reword", "tone", words="Dry and quick", from_record="")
    press(helpers_desk, instrument, "leave-out", "tone")
    page = helpers_desk.get(reverse("speaker", args=[instrument.stock_id])).text
    assert "Dry and quick" not in page
    assert "Put back" in page
    press(helpers_desk, instrument, "put-back", "tone")
    assert line(instrument, "tone").words == "Dry and quick"
    assert order(instrument) == list(KEYS)


def test_the_record_itself_is_not_touched(instrument: Instrument, helpers_desk: Client) -> None:
    before = Instrument.objects.values().get(pk=instrument.pk)
    press(helpers_desk, instrument, "reword", "story", words="Mine", from_record="")
    press(helpers_desk, instrument, "earlier", "price")
    assert Instrument.objects.values().get(pk=instrument.pk) == before


@pytest.mark.parametrize(
    "typed", [{"deed": "reword", "line": "other"}, {"deed": "other", "line": "tone"}, {}, {"deed": "earlier"}]
)
def test_what_is_no_line_and_no_deed_is_not_found(
    typed: dict[str, str], instrument: Instrument, helpers_desk: Client
) -> None:
    assert helpers_desk.post(reverse("speaker", args=[instrument.stock_id]), typed).status_code == 404
    assert not SpokenLine.objects.exists()


def test_a_stranger_is_sent_away_and_another_method_refused(
    instrument: Instrument, client: Client, helpers_desk: Client
) -> None:
    address = reverse("speaker", args=[instrument.stock_id])
    assert client.post(address, {"deed": "leave-out", "line": "tone"})["Location"].startswith("/desk/log-in/")
    assert helpers_desk.put(address).status_code == 405
    assert helpers_desk.get(reverse("speaker", args=[1])).status_code == 404
    assert not SpokenLine.objects.exists()


# In the browser


# From nothing of one's own to every line as full as it may be; the middle ones are the most for their type.
OWN_WORDS = ["", "Short words. " * 8, "Words and more words. " * 9, "Wide words and many of them. " * 20]
OWN_WORDS += ["LOUD AND WARM WOOD, " * 7, "LOUD AND WARM WOOD, " * 28]


@pytest.fixture
def at_the_desk(
    instrument: Instrument, live_server: Any, new_context: Callable[..., BrowserContext]
) -> tuple[Page, str]:
    """The owner's browser, and the address of the sheet."""
    OwnerFactory(username="ada")
    page = new_context().new_page()
    page.goto(f"{live_server.url}{reverse('log-in')}")
    page.fill("[name=username]", "ada")
    page.fill("[name=password]", PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/desk/")
    return page, f"{live_server.url}{reverse('speaker', args=[instrument.stock_id])}"


def test_it_prints_on_one_page_however_much_is_said(
    instrument: Instrument, at_the_desk: tuple[Page, str]
) -> None:
    page, address = at_the_desk
    for own in OWN_WORDS:
        for key in KEYS if own else ():
            actions.reword(instrument, key, own[: MOST[key]], from_record="Older", by=None, at=NOON)
        page.goto(address)
        for paper in ("Letter", "A4"):
            printed = Paper(page.pdf(format=paper))
            assert printed.pages == 1, (own, paper)
            assert f"No. {instrument.stock_id}" in printed.text
            assert [word for word in ("Reword", "Earlier", "Save") if word in printed.text] == []


def test_it_is_worked_by_the_keyboard_alone(instrument: Instrument, at_the_desk: tuple[Page, str]) -> None:
    page, address = at_the_desk
    page.goto(address)
    page.locator("#reword-tone summary").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.type("Dry and quick")
    page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.locator("#line-tone .speaker-words").inner_text() == "Dry and quick"
    page.locator("#line-tone button[value=earlier]").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert order(instrument).index("tone") == KEYS.index("tone") - 1
