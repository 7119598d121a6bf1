"""The report on condition and originality: what stands on it, who gets it, and that any record fits."""

import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from catalog.models import Finding, FoundNumber, Included, Instrument, Measurement, Part, Provenance
from catalog.pictures.prints import print_path
from catalog.public.queries import pages
from catalog.public.shown.listing import Listing, listing
from catalog.report import pdf as reports
from catalog.report.content import content
from catalog.report.pdf import REPORT, report
from catalog.report.rules import MOST_PAGES, ROOMS, Room
from catalog.report.sections import SECTIONS
from catalog.report.sheet import Sheet
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.typesetting import pdf
from tests.factories import NOON, InstrumentFactory, PhotographFactory, ShopFactory
from tests.support.papers import Paper
from tests.world import World, build_world

DAY = date(2026, 6, 10)
LONG = "The rim is a three-ply rim of maple, turned once and never since. " * 40
HOSTILE = ['#panic("no")', "*bold* _it_", "$x^2$ @ref \\ ` ~ [ ]", "= Heading", "<b>&amp;</b>"]


@pytest.fixture(autouse=True)
def prints(settings: Any, tmp_path: Path) -> Path:
    settings.PRINTS_DIR = tmp_path / "prints"
    return tmp_path / "prints"


@pytest.fixture
def world(db: None) -> World:
    ShopFactory(address="4 Harrow Lane\nAshby Vale")
    world = build_world()
    Instrument.objects.update(setup="Strung with light strings.")
    for photograph in [world.photograph, world.sold.photographs.get()]:
        print_it(photograph)
    return world


def print_it(photograph: Any, size: tuple[int, int] = (1600, 1200)) -> None:
    """Put the prints of a photograph into the folder."""
    for width in photograph.widths:
        place = print_path(photograph.token, width, "jpg")
        place.parent.mkdir(parents=True, exist_ok=True)
        Image.new("RGB", (width, width * size[1] // size[0]), "#876").save(place)


def listing_of(instrument: Instrument) -> Listing:
    return listing(pages(Instrument.objects.all(), at=NOON).get(pk=instrument.pk), waiting=0)


def paper_of(instrument: Instrument) -> Paper:
    return Paper(report(listing_of(instrument), day=DAY, address="https://shop.example/1/"))


@pytest.fixture
def fullest(db: None) -> Instrument:
    """Forty parts, each with long words; long texts; a long past; many pictures, numbers and measurements."""
    ShopFactory()
    instrument = InstrumentFactory(listed=True, condition=LONG, setup=LONG, made_evidence=LONG)
    leaves = list(instrument.kind.parts.filter(children=None))
    root = instrument.kind.parts.filter(parent=None).first()
    for number in range(len(leaves), 40):
        leaves.append(
            Part.objects.create(
                kind=instrument.kind, slug=f"more-{number}", name=f"Further part {number}", parent=root
            )
        )
    for place, part in enumerate(leaves):
        Finding.objects.create(
            instrument=instrument,
            part=part,
            state=Finding.State.LATER if place % 2 else Finding.State.ORIGINAL,
            seen=Finding.Seen.LOUPE,
            evidence=LONG[:300],
            note=LONG[:300],
            examined_at=NOON,
        )
    for measure in instrument.kind.measures.all():
        Measurement.objects.create(instrument=instrument, measure=measure, word="as on the sheet")
    for number in range(12):
        FoundNumber.objects.create(instrument=instrument, value=f"{number}4417", where="on the rim")
        Included.objects.create(instrument=instrument, what=LONG[:200])
        print_it(PhotographFactory(instrument=instrument, caption=LONG[:200], lead=not number))
    for year in range(1931, 1971):
        Provenance.objects.create(
            instrument=instrument, when=str(year), kind=Provenance.Kind.OWNED, public=LONG[:400]
        )
    return instrument


# Who gets it


@pytest.mark.parametrize("which", ["listed", "sold"])
def test_a_public_piece_has_its_report_beside_its_page(which: str, world: World, client: Client) -> None:
    instrument = getattr(world, which)
    address = reverse("listing-report", args=[instrument.stock_id, instrument.slug])
    assert f'href="{address}"' in client.get(instrument.get_absolute_url()).text
    answer = client.get(address)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == f'inline; filename="Report on No. {instrument.stock_id}.pdf"'
    assert client.post(address).status_code == 405


def test_an_old_address_leads_to_the_new_one(world: World, client: Client) -> None:
    stock = world.listed.stock_id
    answer = client.get(reverse("listing-report", args=[stock, "old-name"]))
    assert (answer.status_code, answer["Location"]) == (301, f"{world.listed.get_absolute_url()}report.pdf")


def test_a_draft_has_one_at_the_desk_alone(helpers_desk: Client, client: Client, db: None) -> None:
    ShopFactory()
    draft = InstrumentFactory()
    assert client.get(reverse("listing-report", args=[draft.stock_id, draft.slug])).status_code == 404
    address = reverse("record-report", args=[draft.stock_id])
    assert client.get(address)["Location"].startswith("/desk/log-in/")
    assert address in helpers_desk.get(reverse("record", args=[draft.stock_id])).text
    answer = helpers_desk.get(address)
    assert "A draft" in Paper(answer.content).text
    assert "no-store" in answer["Cache-Control"]
    assert address not in helpers_desk.get(reverse("preview", args=[draft.stock_id])).text
    assert "report.pdf" not in helpers_desk.get(reverse("preview", args=[draft.stock_id])).text


# What stands on it


def test_it_says_what_the_page_says(world: World) -> None:
    text = paper_of(world.listed).text
    shown = listing_of(world.listed)
    for said in (
        f"No. {shown.card.stock}",
        "10 June 2026",
        "Harrow Lane Strings",
        "Ashby Vale",
        shown.maker,
        shown.originality.says,
        f"{shown.originality.examined} of {shown.originality.parts} parts",
        "Seen under a lamp",
        "4417 on the rim, clear",
        "26¼ in (667 mm)",
        shown.condition,
        shown.grade_meaning,
        "Strung with light strings.",
        "Original hard case",
        "Sold new",
    ):
        assert said in text, said


def test_it_says_how_each_thing_is_known(world: World) -> None:
    """Whatever else the page tells of the whole, of the date, of what is unusual, of the past, stands on it too."""
    shown = listing_of(world.listed)
    text = paper_of(world.listed).text.replace(" ", "")
    found, conversion = shown.originality, shown.originality.conversion
    assert conversion is not None
    told = [found.meaning, *found.exceptions, conversion.made, conversion.stands, conversion.note]
    told += [part.how for _, parts in found.groups for part in parts]
    told += [*shown.dating.sentences, shown.dating.agrees, *(piece.says for piece in shown.dating.pieces)]
    told += [
        words for thing in shown.unusual for words in (thing.what, thing.seen, thing.verdict, thing.evidence)
    ]
    told += [words for entry in shown.provenance for words in (entry.when, entry.what, entry.text)]
    told += [words for paper in shown.papers for words in (paper.what, paper.have)]
    assert shown.then_and_now is not None
    told += shown.then_and_now.sentences
    assert [words for words in told if words.replace(" ", "") not in text] == []
    assert min(len(shown.unusual), len(shown.papers), len(shown.dating.pieces)) > 0


def test_the_guarantee_stands_with_its_exceptions_until_the_piece_is_sold(world: World) -> None:
    ShopProfile.objects.update(guarantee="We stand behind every word for as long as you own it.")
    left_out = listing_of(world.listed).guarantee_leaves_out
    text = paper_of(world.listed).text
    assert "We stand behind every word for as long as you own it." in text
    assert left_out
    assert [sentence for sentence in left_out if sentence not in text] == []
    assert "We stand behind" not in paper_of(world.sold).text


def test_evidence_names_the_photograph_that_is_printed(world: World) -> None:
    finding = world.listed.findings.first()
    assert finding is not None
    finding.photograph = world.photograph
    finding.save()
    assert "Photograph 1." in paper_of(world.listed).text
    assert f"1. {world.photograph.view}: The whole front" in paper_of(world.listed).text


def test_an_empty_section_is_not_printed(db: None) -> None:
    ShopFactory()
    text = paper_of(InstrumentFactory(setup="", made_evidence="")).text
    assert "Set-up" not in text
    assert "Condition" in text


def test_it_is_tagged_for_who_cannot_see_it(world: World) -> None:
    paper = paper_of(world.listed)
    assert (paper.tagged, paper.language) == (True, "en")
    assert (
        paper.title
        == f"Report on condition and originality: No. {world.listed.stock_id}, {world.listed.title}"
    )
    tags = paper.tags
    assert [tag.alt for tag in tags if tag.name == "Figure"] == [f"{world.photograph.view}: The whole front"]
    heads = [tag.name for tag in tags if tag.name in {"H1", "H2"}]
    assert heads[0] == "H1"
    assert set(heads[1:]) == {"H2"}
    tables = [tag.name for tag in tags if tag.name in {"Table", "THead", "TBody"}]
    assert tables == ["Table", "THead", "TBody"] * (len(tables) // 3)
    assert len(tables) > 3
    assert {tag.scope for tag in tags if tag.name == "TH"} == {"Column"}


def test_every_picture_has_words_and_every_caption_names_its_view(world: World) -> None:
    view = world.listed.kind.views.last()
    print_it(PhotographFactory(instrument=world.listed, view=view, caption="By daylight"))
    print_it(PhotographFactory(instrument=world.listed, view=None, caption=""), (1200, 1600))
    paper = paper_of(world.listed)
    assert f"{view}: By daylight" in paper.text
    alts = [tag.alt for tag in paper.tags if tag.name == "Figure"]
    assert alts[1:] == [f"{view}: By daylight", "Photograph"]


def test_a_print_that_is_not_in_the_folder_is_no_error(db: None) -> None:
    ShopFactory()
    instrument = InstrumentFactory(listed=True)
    PhotographFactory(instrument=instrument, lead=True)
    assert [tag for tag in paper_of(instrument).tags if tag.name == "Figure"] == []


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_is_printed_as_it_was_typed(hostile: str, world: World) -> None:
    shown = replace(
        listing_of(world.listed),
        title=hostile,
        condition=hostile,
        setup=hostile,
        included=[hostile],
        kind=hostile,
    )
    made = content(shown, shop=the_shop(), day=DAY, address="", room=ROOMS[0], prints={})
    assert Paper(pdf(REPORT, json.dumps(made))).text.count(" ".join(hostile.split())) >= 5


# How much of it


def test_the_smallest_record_takes_one_page(db: None) -> None:
    ShopFactory()
    bare = InstrumentFactory(
        model=None, maker=None, made="", made_edtf="", made_evidence="", condition="", story="", grade=""
    )
    paper = paper_of(bare)
    assert paper.pages == 1
    assert "Left out here" not in paper.text


def test_the_fullest_record_takes_four_pages_and_says_what_it_leaves_out(fullest: Instrument) -> None:
    paper = paper_of(fullest)
    assert 1 <= paper.pages <= MOST_PAGES
    assert "Left out here for want of room:" in paper.text
    assert "Itstandsinfullathttps://shop.example/1/." in paper.text.replace(" ", "")  # a line may end in it
    assert "further photographs" in paper.text


def test_what_is_left_out_of_a_draft_stands_in_the_record(fullest: Instrument) -> None:
    made = content(listing_of(fullest), shop=the_shop(), day=DAY, address="", room=ROOMS[-1], prints={})
    assert made["left_out"].endswith("It stands in full in the shop’s record.")


def test_the_last_room_holds_the_fullest_record(fullest: Instrument) -> None:
    made = content(listing_of(fullest), shop=the_shop(), day=DAY, address="", room=ROOMS[-1], prints={})
    assert Paper(pdf(REPORT, json.dumps(made))).pages <= MOST_PAGES


@pytest.mark.parametrize("room", ROOMS)
def test_nothing_is_cut_without_a_word(room: Room, fullest: Instrument) -> None:
    """Every text that is not whole ends in “…”, and the note at the end names where it was."""
    shown = listing_of(fullest)
    made = content(shown, shop=the_shop(), day=DAY, address="", room=room, prints={})
    sections = {section["title"]: section for section in made["sections"]}
    whole = sections["Condition"]["blocks"][-1]["text"] == shown.condition.strip()
    assert whole == ("the rest of “Condition”" not in made["left_out"])
    assert whole or sections["Condition"]["blocks"][-1]["text"].endswith("…")
    printed = sum(
        len(group["parts"]) for group in sections["Originality, part by part"]["blocks"][0]["groups"]
    )
    assert (printed < 40) == (f"{40 - printed} of 40 examined parts" in made["left_out"])
    told = all(
        part[2]
        for group in sections["Originality, part by part"]["blocks"][0]["groups"]
        for part in group["parts"]
    )
    assert told == ("how the original parts were seen" not in made["left_out"])
    assert list(sections) == [title for title, _, fill in SECTIONS if fill(shown, Sheet(room))]


# How it is kept


def test_the_same_words_give_the_same_bytes(world: World) -> None:
    shown = listing_of(world.listed)
    made = json.dumps(
        content(shown, shop=the_shop(), day=DAY, address="", room=ROOMS[0], prints={}), sort_keys=True
    )
    assert pdf(REPORT, made) == pdf(REPORT, made)


def test_it_is_made_once_and_an_older_one_is_cleared_away(
    world: World, prints: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = paper_bytes(world.listed, DAY)
    paper_bytes(world.sold, DAY)
    with monkeypatch.context() as patch:
        patch.setattr(reports, "pdf", lambda *given, **named: pytest.fail("made a second time"))
        assert paper_bytes(world.listed, DAY) == first
    assert paper_bytes(world.listed, date(2026, 6, 11)) != first
    kept = sorted(path.name.partition("-")[0] for path in (prints / "reports").iterdir())
    assert kept == sorted([str(world.listed.stock_id), str(world.sold.stock_id)])


def test_many_who_ask_at_once_wait_for_the_one_that_is_made(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown, shop, made = listing_of(world.listed), the_shop(), []

    def counted(*given: Any, **named: Any) -> bytes:
        made.append(given)
        return pdf(*given, **named)

    monkeypatch.setattr(reports, "the_shop", lambda: shop)  # a thread has another connection
    monkeypatch.setattr(reports, "pdf", counted)
    with ThreadPoolExecutor(4) as askers:
        papers = list(askers.map(lambda _: report(shown, day=DAY, address=""), range(4)))
    assert len(made) == 1
    assert len(set(papers)) == 1


def paper_bytes(instrument: Instrument, day: date) -> bytes:
    return report(listing_of(instrument), day=day, address="")


@pytest.mark.parametrize(
    "change",
    [
        lambda one: Instrument.objects.filter(pk=one.pk).update(condition="A crack in the head."),
        lambda one: Finding.objects.filter(instrument=one).update(note="By its first owner."),
        lambda one: one.photographs.update(caption="The front by daylight"),
    ],
)
def test_a_changed_record_gives_a_new_report(change: Callable[[Instrument], Any], world: World) -> None:
    first = paper_bytes(world.listed, DAY)
    change(world.listed)
    assert paper_bytes(world.listed, DAY) != first


def test_the_page_and_its_report_ask_the_same_of_the_database(
    world: World, client: Client, django_assert_num_queries: Any
) -> None:
    """More parts and pictures cost no further query."""
    address = f"{world.listed.get_absolute_url()}report.pdf"
    client.get(address)
    with CaptureQueriesContext(connection) as few:
        client.get(address)
    known = world.listed.findings.values("part")
    for part in world.listed.kind.parts.filter(children=None).exclude(pk__in=known)[:5]:
        Finding.objects.create(
            instrument=world.listed, part=part, state="original", seen="eye", examined_at=NOON
        )
    for _ in range(3):
        print_it(PhotographFactory(instrument=world.listed))
    with django_assert_num_queries(len(few)):
        client.get(address)
