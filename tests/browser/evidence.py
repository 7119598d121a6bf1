"""The part of the whole life in which a record is filled with its evidence, and says what it carries."""

import io
from pathlib import Path

from PIL import Image
from playwright.sync_api import expect
from pypdf import PdfReader

from catalog.models import Finding, Instrument, Paper, Part, Photograph
from tests.browser.visit import Visit

TABLE = """prefix,first,last,made,page
,4001,4400,1930,12
,4401,4800,1931 to 1932,13
"""


def bring_evidence(desk: Visit, stock: int, folder: Path) -> None:
    """Parts, conversion, number and table, paper, provenance: each with how it is known."""
    record = f"/desk/stock/{stock}"
    examine(desk, record)
    say_how_it_was_converted(desk, record)
    say_what_is_unusual(desk, record)
    date_it(desk, record)
    keep_a_paper(desk, record, folder)
    tell_where_it_has_been(desk, record)
    prepare_to_speak(desk, record)


def examine(desk: Visit, record: str) -> None:
    """Every part by one key; the tuners are later ones, and the old ones lie in the case."""
    page = desk.go(f"{record}/parts/")
    parts = Part.objects.filter(kind=Instrument.objects.get().kind, children=None)
    for _ in parts:
        page.keyboard.press("o")
    page.locator("#part-tuners").focus()
    page.keyboard.press("l")
    tuners = page.locator("#part-tuners")
    tuners.locator("summary").click()
    tuners.locator("[name=tuners-original_kept]").check()
    tuners.locator("[name=tuners-original_where]").fill("In the case")
    tuners.locator("[name=tuners-when]").fill("c. 1975")
    tuners.locator("[name=tuners-photograph]").select_option(index=3)
    with page.expect_navigation():
        page.keyboard.press("Control+s")
    assert Finding.objects.count() == parts.count()
    found = Finding.objects.get(part__slug="tuners")
    assert found.when_edtf == "1975~"
    assert found.photograph == Photograph.objects.all()[2], "the one that shows it"


def say_how_it_was_converted(desk: Visit, record: str) -> None:
    desk.go(f"{record}/conversion/")
    desk.choose(convertible_back="Only with new work")
    desk.fill(conversion_when="1962", conversion_note="The neck was made for it; the rim was not cut.")
    desk.press("Save")


def say_what_is_unusual(desk: Visit, record: str) -> None:
    """The model's list says what is usual, and what it cost; this one differs, and the factory did it."""
    page = desk.go(f"/desk/models/{Instrument.objects.get().model_id}/")
    for name, typed in {
        "usual-0-what": "Tailpiece",
        "usual-0-value": "plain",
        "usual-0-source": "Price list of 1930",
        "prices-0-year": "1930",
        "prices-0-amount": "100",
        "prices-0-source": "Price list of 1930",
    }.items():
        page.locator(f"[name={name}]").fill(typed)
    desk.press("Save")
    page = desk.go(f"{record}/unusual/")
    tailpiece = page.get_by_role("group", name="Tailpiece")
    tailpiece.get_by_label("On this one").press_sequentially("engraved with a star")
    expect(tailpiece.get_by_text("This differs.")).to_be_visible()
    tailpiece.get_by_label("What we make of it").select_option(label="Factory work")
    tailpiece.get_by_label("How we know").fill("So in the order book")
    desk.press("Save")


def prepare_to_speak(desk: Visit, record: str) -> None:
    """The sheet to read from has it all; one line gets words of its own, and moves up."""
    page = desk.go(f"{record}/speaker/")
    sheet = page.locator(".speaker")
    for said in ("Converted", "Tailpiece: engraved with a star, factory work.", "1951 to 1989", "$12,500."):
        expect(sheet).to_contain_text(said)
    page.locator("#reword-tone summary").click()
    page.locator("#id_tone_words").fill("Dry and quick, with a short ring.")
    with page.expect_navigation():
        page.locator("#reword-tone").get_by_role("button", name="Save").click()
    with page.expect_navigation():
        page.locator("#line-tone button[value=earlier]").click()
    lines = page.locator(".speaker-label").all_inner_texts()
    assert lines.index("How it sounds") == lines.index("Story") - 2
    expect(page.locator("#line-tone .speaker-words")).to_have_text("Dry and quick, with a short ring.")


def date_it(desk: Visit, record: str) -> None:
    """The owner's table says what the number means; one press makes it evidence."""
    maker = Instrument.objects.get().maker_id
    desk.go(f"/desk/makers/{maker}/numbers/")
    desk.choose(what="Serial number")
    desk.fill(source="Ledger of the works, copy in the town library", text=TABLE)
    desk.press("Load the table")
    desk.go(f"{record}/numbers/")
    page = desk.page
    page.locator("[name=numbers-0-value]").fill("4417")
    page.locator("[name=numbers-0-where]").fill("Inside the rim")
    desk.press("Save")
    desk.go(f"{record}/dating/")
    with page.expect_navigation():
        page.get_by_role("button", name="Add as evidence").first.click()
    expect(page.locator("main")).to_contain_text("1931 to 1932")


def keep_a_paper(desk: Visit, record: str, folder: Path) -> None:
    scan = folder / "bill-of-sale.png"
    Image.new("RGB", (600, 400), (240, 230, 200)).save(scan)
    page = desk.go(f"{record}/papers/")
    page.locator("[name=file]").set_input_files(scan)
    desk.choose(kind="Bill of sale")
    desk.fill(title="Bill of sale of the first buyer", when="1932", from_whom="A. Hidden Seller")
    page.locator("#add [name=public]").check()
    page.locator("#add [name=comes_along]").check()
    desk.press("Add the paper")
    assert Paper.objects.get().bytes == scan.stat().st_size


def tell_where_it_has_been(desk: Visit, record: str) -> None:
    page = desk.go(f"{record}/provenance/")
    entries = [
        ("1931", "Made", "By the works.", ""),
        ("1932 to 1950", "Owned", "A dance band player.", "Wilfred Hidden"),
        ("1990 to 2025", "Owned", "A teacher.", "Nora Hidden"),
    ]
    for number, (when, kind, public, person) in enumerate(entries):
        row = f"provenance-{number}"
        page.locator(f"[name={row}-when]").fill(when)
        page.locator(f"[name={row}-kind]").select_option(label=kind)
        page.locator(f"[name={row}-public]").fill(public)
        page.locator(f"[name={row}-person]").fill(person)
    desk.press("Save")
    expect(page.locator("main")).to_contain_text("1951 to 1989")


def claim_too_much(desk: Visit, stock: int) -> None:
    """What the parts do not carry is shown while it is typed, and stops publishing until it is mended."""
    story = f"/desk/stock/{stock}/story/"
    page = desk.go(story)
    page.locator("[name=story]").press_sequentially("It is all original.")
    expect(page.locator("main")).to_contain_text("Contradicted")
    desk.press("Save")
    desk.go(f"/desk/stock/{stock}/publish/")
    expect(page.locator("main")).to_contain_text("Not ready to be published")
    assert Instrument.objects.get().state == Instrument.State.DRAFT
    desk.go(story)
    desk.fill(story="Found in a farmhouse attic. The original tuners come with it.")
    desk.press("Save")


def read_what_is_said(street: Visit) -> None:
    """The listing and its report say what the record carries, and name nobody."""
    listed = Instrument.objects.get()
    page = street.go(listed.get_absolute_url())
    text = page.locator("main").inner_text()
    for said in (
        "Converted",
        "tuners",
        "1951 to 1989",
        "Ledger of the works",
        "Bill of sale of the first buyer",
        "engraved with a star",
        "$1,928",
        "not a valuation",
    ):
        assert said in text, said
    report = page.request.get(street.home + page.get_by_role("link", name="Report").get_attribute("href"))
    pages = PdfReader(io.BytesIO(report.body())).pages
    told = " ".join(" ".join(sheet.extract_text() for sheet in pages).split())
    assert 1 <= len(pages) <= 4
    assert "Converted" in told
    assert "In the case" in told or "in the case" in told
    for private in ("Hidden",):
        assert private not in text + told
