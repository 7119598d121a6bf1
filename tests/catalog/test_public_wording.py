"""What pages are handed comes in the reader's language, but for the dealer's own texts; what is kept does not."""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from decimal import Decimal
from typing import Any

import pytest
from django.http import QueryDict
from django.test import Client

from catalog.features.queries import differences_of, seen_on
from catalog.instruments.grades import scale
from catalog.models import Instrument, ListPrice, Measurement, Paper, Provenance, UsualFeature
from catalog.pricing.queries import indexes_in_use
from catalog.public import maker_queries as find
from catalog.public.archive import Archive
from catalog.public.forms import CatalogueFilter
from catalog.public.machines.preview import preview_alt, preview_mark
from catalog.public.queries import pages
from catalog.public.shown import makers
from catalog.public.shown.cards import card
from catalog.public.shown.listing import listing
from catalog.public.shown.papers import paper_in_words
from catalog.recordings.rules import spoken_length
from catalog.search.narrowing import Narrowed, choices_of
from catalog.search.page_words import page_words
from catalog.search.shelf import the_shelf
from catalog.search.shelving import refill
from catalog.search.views import _band
from tests.factories import NOON, InstrumentFactory, OwnerFactory, ShopFactory
from tests.support.linked import blocks, faults, graph_of, said, things
from tests.support.pseudo import in_brackets, unspoken
from tests.world import fill

pytestmark = pytest.mark.django_db

# What the dealer typed, what is an address or a code, and what is the same in every language.
OWN = re.compile(
    r"(?:^|\.)(?:maker|maker_of|maker_note|model|title|name|own|story|condition|setup|made_evidence|typed|included"
    r"|says|source|note|evidence|text|caption|alt|paper|value|where|serial|edtf|made_on|currency|price|hear_at"
    r"|address|report|key|state|word|src|srcset|sources|full|token|detail|picture|seen|usual|sum|index|type|poster"
    r"|wave|captions|how|told|numbers|chapters_track|chapters|said|maker_address|page|model_address)(?:\.|$)"
)


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopFactory()


@pytest.fixture
def piece() -> Instrument:
    """A listed piece of which everything is known, and which was converted."""
    instrument = InstrumentFactory(listed=True)
    fill(instrument, OwnerFactory())
    made, now = instrument.kind.configurations.all()[:2]
    choice = instrument.kind.measures.filter(quantity="choice").first()
    Instrument.objects.filter(pk=instrument.pk).update(
        configuration_made=made, configuration_now=now, grade="very-good"
    )
    Measurement.objects.create(instrument=instrument, measure=choice, word=choice.choices[0])
    ListPrice.objects.create(
        model=instrument.model, year=1890, amount=Decimal(100), source="A list", page="2"
    )
    return shown_of(instrument)


def shown_of(instrument: Instrument) -> Instrument:
    return pages(Instrument.objects.public(), at=NOON).get(pk=instrument.pk)


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every text within a value, with the way to it."""
    if is_dataclass(value):
        for field in fields(value):
            yield from leaves(getattr(value, field.name), f"{path}.{field.name}")
    elif isinstance(value, list | tuple):
        for one in value:
            yield from leaves(one, path)
    elif isinstance(value, str) and re.search("[a-z]{2}", value):
        yield path, str(value)


def untranslated(value: Any) -> list[tuple[str, str]]:
    """Each text with words outside of every message, that is not the dealer's own."""
    return [
        (path, text)
        for path, text in leaves(value)
        if not OWN.search(path) and any(re.search("[a-z]{2}", rest) for rest in unspoken(text))
    ]


def test_all_that_a_listing_says_is_translated_and_nothing_else(piece: Instrument) -> None:
    before = list(leaves(listing(piece, waiting=0)))
    with in_brackets():
        shown = listing(shown_of(piece), waiting=0)
        spoken = dict(leaves(shown))
        assert untranslated(shown) == []
        assert shown.numbers == [("⟦Serial number⟧", "4417", "on the rim", "⟦Clear⟧")]
        hows = [part.how for _, parts in shown.originality.groups for part in parts]
        assert "⟦" in hows[1]
        assert all(
            own in how
            for own, how in zip(["Seen under a lamp.", "Cast in another alloy."], hows, strict=True)
        )
    assert not [text for _, text in before if "⟦" in text]
    for path in [
        ".kind",
        ".card.setout",
        ".card.price",
        ".grade",
        ".grade_meaning",
        ".made_as",
        ".stands_as",
    ]:
        assert "⟦" in spoken.get(path, "⟦"), path
    for path in [
        ".measurements",
        ".bare.measured.name",
        ".unusual.verdict",
        ".then_and_now.sentences",
        ".papers.have",
    ]:
        assert "⟦" in spoken[path], path
    assert spoken[".story"] == piece.story


def test_a_price_then_and_now_is_one_message(piece: Instrument) -> None:
    with in_brackets():
        told = listing(piece, waiting=0).then_and_now
    assert told is not None
    assert [unspoken(sentence) for sentence in told.sentences] == [[]] * len(told.sentences)
    assert "New in ⟦%(year)s⟧" not in told.sentences[0]


@pytest.mark.parametrize("within", [True, False])
@pytest.mark.parametrize(("year", "currency"), [(1931, "USD"), (1890, "USD"), (1931, "EUR")])
def test_so_is_one_without_a_figure(within: bool, year: int, currency: str) -> None:
    made = year if within else year + 3
    piece = InstrumentFactory(listed=True, made=str(made), made_earliest=made, made_latest=made)
    ListPrice.objects.create(
        model=piece.model, year=year, amount=Decimal(90), currency=currency, source="A list", what="With case"
    )
    with in_brackets():
        told = listing(shown_of(piece), waiting=0).then_and_now
    assert told is not None
    assert [unspoken(sentence) for sentence in told.sentences] == [[]] * len(told.sentences)
    assert ("With case" in told.sentences[0]) is within


def test_cards_of_what_is_sold_and_of_what_has_no_name() -> None:
    nameless = shown_of(InstrumentFactory(listed=True, maker=None, model=None, made="", made_edtf=""))
    plain = card(nameless)
    with in_brackets():
        shown = card(nameless)
        assert unspoken(shown.name) == []
        assert shown.state == plain.state
        assert shown.state_word == f"⟦{plain.state}⟧"
        assert nameless.slug in shown.address
        assert preview_mark(shown, "Shop") == preview_mark(plain, "Shop")
        assert preview_alt(shown) == preview_alt(plain)
    assert plain.name == f"Unidentified {nameless.kind.name.lower()}"
    assert nameless.slug.startswith("unidentified-")


@pytest.mark.parametrize("kind", Paper.Kind.values)
def test_a_paper_in_the_middle_of_a_sentence_is_one_message(kind: str) -> None:
    paper = Paper(kind=kind, public=True)
    assert paper_in_words(paper).startswith(("a ", "an "))
    with in_brackets():
        assert unspoken(paper_in_words(paper)) == []
        assert unspoken(paper_in_words(Paper(kind=kind, public=True, when="1927", when_edtf="1927"))) == []


@pytest.mark.parametrize("kind", ["owned", "dealer"])
def test_who_had_it_is_one_message(kind: str) -> None:
    piece = InstrumentFactory(listed=True)
    Provenance.objects.create(
        instrument=piece,
        kind=kind,
        when="1931",
        person="Ada Roe",
        consent_on=NOON.date(),
        consent_how="By letter",
    )
    with in_brackets():
        [entry] = [one for one in listing(shown_of(piece), waiting=0).provenance if not one.gap]
    assert unspoken(entry.what) == []
    assert "Ada Roe" in entry.what


def test_makers_and_models_say_theirs_in_whole_messages(piece: Instrument) -> None:
    assert piece.maker is not None
    assert piece.model is not None
    with in_brackets():
        tables = [makers.numbers(table) for table in find.tables_shown(piece.maker)]
        prices = makers.prices(piece.model, indexes_in_use())
        usual = makers.usual_things(piece.model)
        assert [(table.what, unspoken(table.span)) for table in tables] == [("⟦Serial numbers⟧", [])]
        assert [unspoken(line.numbers) for table in tables for line in table.lines] == [[]]
        assert [unspoken(row.now) for row in prices.rows] == [[]] * 2
        assert unspoken(prices.note) == []
        assert {thing.what for thing in usual} == {"⟦Tailpiece⟧", "⟦Rim⟧"}
        assert ("Plain (1925 to 1935)", "Price list of 1927, ⟦p. 4⟧") not in usual


def test_the_archive_and_the_catalogue_ask_in_the_reader_s_language() -> None:
    InstrumentFactory(sold=True)
    InstrumentFactory(listed=True)
    shelf = the_shelf()
    plain = {name: choices_of(shelf, name) for name in CatalogueFilter.CHOSEN_FROM}
    asked = QueryDict("kind=banjo&availability=available&new=month&price_from=10&price_to=20000&decade=1930")
    with in_brackets():
        archive = Archive({}).questions()
        form = CatalogueFilter(asked, shelf=the_shelf(), currency="USD")
        assert [unspoken(question.label) for question in archive] == [[]] * 3
        assert [unspoken(choice.name) for choice in archive[0].choices] == [[]]
        assert [unspoken(str(form[name].label)) for name in form.fields] == [[]] * len(form.fields)
        for name in set(form.CHOSEN_FROM) - {"maker"}:
            spoken = choices_of(shelf, name)
            assert [unspoken(choice.says) for choice in spoken] == [[]] * len(spoken)
            assert [choice.value for choice in spoken] == [choice.value for choice in plain[name]]
        assert choices_of(shelf, "maker") == plain["maker"]
        assert [unspoken(spoken) for _, spoken in form.chosen] == [[]] * len(form.chosen)
        bands = Narrowed(shelf, {}, currency="USD", at=NOON).bands()
        assert [unspoken(_band(band, "USD")) for band in bands] == [[]] * len(bands)
    assert {name: choices_of(the_shelf(), name) for name in CatalogueFilter.CHOSEN_FROM} == plain


def test_the_shelf_is_filled_with_the_same_words_in_any_language(piece: Instrument) -> None:
    plain = page_words(piece)
    with in_brackets():
        assert page_words(shown_of(piece)) == plain
        refill()
    assert "unidentified" not in plain


def test_a_measurement_is_compared_as_it_was_typed_and_told_in_the_reader_s_language() -> None:
    piece = InstrumentFactory(listed=True)
    measure = piece.kind.measures.filter(quantity="choice").first()
    UsualFeature.objects.create(
        model=piece.model, what=measure.name, measure=measure, value=measure.choices[0], source="A list"
    )
    row = Measurement.objects.create(instrument=piece, measure=measure, word=measure.choices[0])
    with in_brackets():
        found = shown_of(piece)
        assert set(seen_on(found).values()) == {row.word}
        assert differences_of(found) == []
        assert row.shown == f"⟦{row.word}⟧"


def test_grades_and_lengths() -> None:
    with in_brackets():
        assert [unspoken(text) for pair in scale() for text in pair] == [[]] * 22
        for seconds in (14, 60, 134, 3600, 3780):
            assert unspoken(spoken_length(Decimal(seconds))) == []


def test_linked_data_says_in_which_language_the_page_is_unless_it_is_the_dealer_s_own(
    client: Client, piece: Instrument
) -> None:
    address = piece.get_absolute_url()
    for path in (address, "/", "/about/"):
        (own,) = blocks(client.get(path).text)
        assert "WebPage" not in str(own)
        (other,) = blocks(client.get(f"/de{path}").text)
        graph = graph_of(other)
        [page] = things(graph, "WebPage")
        assert said(graph, page, "inLanguage") == "de"
        assert said(graph, page, "url") == f"http://testserver/de{path}"
        assert faults(graph) == []
    other_address = InstrumentFactory(listed=True).get_absolute_url()
    with in_brackets():
        graph = graph_of(blocks(client.get(f"/de{other_address}").text)[0])
    names = {str(said(graph, row, "name")) for row in things(graph, "PropertyValue")}
    assert "⟦Date of make⟧" in names
