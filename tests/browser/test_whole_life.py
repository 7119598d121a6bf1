"""The whole job once through, in a real browser, with real files and a real mail server."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.utils import timezone
from PIL import Image, ImageCms, ImageDraw
from playwright.sync_api import BrowserContext, expect

from catalog.models import Instrument, Photograph
from inquiries.models import Hold, Sale
from inquiries.sales.queries import facts_of
from shop.jobs.worker import drain
from shop.profile.queries import the_shop
from tests.browser.evidence import bring_evidence, claim_too_much, read_what_is_said
from tests.browser.visit import Visit
from tests.factories import PASSWORD, OwnerFactory, ShopFactory
from tests.support.mailbox import Mailbox

PICTURES = 12
VIEWS = ["Whole front", "Whole back", "Peghead, front", "Peghead, back", "Serial number"]
NewContext = Callable[..., BrowserContext]


@dataclass
class Clock:
    """The site's clock, which the test moves on."""

    ahead: timedelta = timedelta(0)

    def now(self) -> datetime:
        """The instant the site believes it is."""
        return REAL_NOW() + self.ahead


REAL_NOW = timezone.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    made = Clock()
    monkeypatch.setattr(timezone, "now", made.now)
    return made


def photograph(folder: Path, number: int) -> Path:
    """A real JPEG as a telephone makes it: lying on its side, with place, profile and maker's note."""
    picture = Image.new("RGB", (900, 640), (90 + 10 * number, 70, 40))
    ImageDraw.Draw(picture).ellipse((200, 60 + number, 700, 580), fill=(210, 170 - number, 110))
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "A telephone"
    exif.get_ifd(0x8825).update({1: "N", 2: (41.0, 30.0, 0.0), 3: "W", 4: (73.0, 15.0, 0.0)})
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    place = folder / f"plate-{number:02}.jpg"
    picture.save(place, "JPEG", exif=exif, icc_profile=profile, quality=92)
    return place


def test_the_whole_life_of_an_instrument_and_of_its_sale(
    live_server: Any, new_context: NewContext, mailbox: Mailbox, clock: Clock, tmp_path: Path
) -> None:
    ShopFactory(carriers="Mule Train")
    OwnerFactory(username="ada")
    desk = Visit(new_context().new_page(), live_server.url)
    street = Visit(new_context(viewport={"width": 390, "height": 844}).new_page(), live_server.url)
    rival = Visit(new_context(java_script_enabled=False).new_page(), live_server.url)

    log_in(desk)
    stock = open_record(desk)
    send_pictures(desk, stock, tmp_path)
    describe(desk, stock)
    bring_evidence(desk, stock, tmp_path)
    claim_too_much(desk, stock)
    publish(desk, stock)
    read_what_is_said(street)

    ask(street, clock, "Ines Vale", "ines@post.example", "Is the neck straight, and what does it weigh?")
    ask(rival, clock, "Tom Orrery", "tom@post.example", "May I be next?")
    answer(desk, mailbox, clock)
    hold(desk, "Ines Vale", expected=Hold.State.ACTIVE)
    hold(desk, "Tom Orrery", expected=Hold.State.QUEUED)
    see_it_held(street, stock)

    sale = take_deposit(desk)
    pay_and_clear(desk, sale)
    send_and_deliver(desk, sale, clock, tmp_path)
    close(desk, sale, clock)
    see_it_sold(street, stock)
    read_the_month(desk, clock)


def log_in(desk: Visit) -> None:
    desk.go("/desk/")
    desk.fill(username="ada", password=PASSWORD)
    desk.press("Log in")
    expect(desk.page.get_by_role("heading", level=1)).to_contain_text("Today")


def open_record(desk: Visit) -> int:
    desk.go("/desk/stock/new/")
    desk.page.select_option("[name=kind]", label="Banjo")
    desk.fill(maker="Corvane & Sons", model="Meadowlark No. 3")
    desk.press("Open the record")
    stock = Instrument.objects.get().stock_id
    desk.go(f"/desk/stock/{stock}/publish/")
    expect(desk.page.get_by_text("the date of make is empty")).to_be_visible()
    return stock


def send_pictures(desk: Visit, stock: int, folder: Path) -> None:
    files = [photograph(folder, number) for number in range(PICTURES)]
    sent = {hash_of(file) for file in files}
    desk.go(f"/desk/stock/{stock}/pictures/")
    desk.page.set_input_files("[name=files]", files)
    expect(desk.page.locator(".upload-done")).to_have_count(PICTURES, timeout=30_000)
    drain()
    assert Photograph.objects.filter(state=Photograph.State.READY).count() == PICTURES
    kept = {hash_of(file) for file in Path(settings.ORIGINALS_DIR).rglob("*.jpg")}
    assert sent <= kept, "every original lies there as it came"
    tall = Photograph.objects.first()
    assert tall is not None
    assert (tall.width, tall.height) == (640, 900), "turned upright"
    for number, view in enumerate(VIEWS):
        desk.go(f"/desk/stock/{stock}/pictures/")
        card = desk.page.locator(".print").nth(number)
        card.locator("[name$=view]").select_option(label=view)
        with desk.page.expect_navigation():
            card.get_by_role("button", name="Save").click()


def hash_of(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def describe(desk: Visit, stock: int) -> None:
    record = f"/desk/stock/{stock}"
    desk.go(f"{record}/identity/")
    desk.fill(made="some time ago", made_evidence="Serial number within the maker’s 1931 run.")
    desk.page.select_option("[name=configuration_made]", label="Tenor, four strings")
    desk.page.select_option("[name=configuration_now]", label="Five-string")
    desk.press("Save")
    expect(desk.page.locator("[name=made]")).to_have_value("some time ago")
    desk.fill(made="c. 1931")
    expect(desk.page.locator(".field-echo")).to_contain_text("Understood: about 1931")
    desk.press("Save")
    desk.go(f"{record}/measurements/")
    desk.page.get_by_label("Scale length").fill("26 1/4 in")
    desk.press("Save")
    desk.go(f"{record}/condition/")
    desk.page.select_option("[name=grade]", label="Excellent")
    desk.fill(condition="Light wear to the rim and the heel.")
    desk.press("Save")
    desk.go(f"{record}/story/")
    desk.fill(story="Found in a farmhouse attic with its first strings on.")
    desk.press("Save")
    desk.go(f"{record}/price/")
    desk.fill(asking_price="12,500", floor_price="11,000")
    desk.press("Save")
    desk.go(f"{record}/costs/")
    seller = desk.page.locator("#seller")
    seller.get_by_label("Seller or consignor").fill("A. Hidden Seller")
    seller.get_by_label("Date").fill("2026-05-01")
    desk.press("Save the seller")
    cost = desk.page.locator("#cost")
    cost.get_by_label("What for").select_option(label="Purchase")
    cost.get_by_label("Date").fill("2026-05-01")
    cost.get_by_label("Amount").fill("7,400.25")
    desk.press("Add the cost")


def publish(desk: Visit, stock: int) -> None:
    desk.go(f"/desk/stock/{stock}/preview/")
    expect(desk.page.get_by_role("heading", level=1)).to_contain_text("Meadowlark No. 3")
    expect(desk.page.get_by_text("26¼ in (667 mm)")).to_be_visible()
    desk.go(f"/desk/stock/{stock}/publish/")
    desk.press("Publish")
    assert Instrument.objects.get().state == Instrument.State.LISTED


def ask(visit: Visit, clock: Clock, name: str, email: str, text: str) -> None:
    visit.go("/instruments/?kind=banjo")
    visit.follow("Corvane & Sons Meadowlark No. 3")
    assert "A. Hidden Seller" not in visit.page.content()
    visit.fill(name=name, email=email, message=text)
    clock.ahead += timedelta(seconds=20)
    visit.page.locator("form[action*=ask] button").last.click()
    visit.page.wait_for_url("**/asked/")


def answer(desk: Visit, mailbox: Mailbox, clock: Clock) -> None:
    desk.go("/desk/")
    desk.follow("Ines Vale")
    expect(desk.page.get_by_text("Is the neck straight")).to_be_visible()
    desk.page.locator("#answer [name=text]").fill("It is straight; it weighs 11 lb 2 oz.")
    desk.press("Send the answer")
    drain(clock=clock.now)
    to_ines = [mail for mail in mailbox.received if mail["To"] == "ines@post.example"]
    acknowledgement, reply = to_ines
    assert reply["In-Reply-To"] == acknowledgement["Message-ID"]
    assert "11 lb 2 oz" in reply.get_content()
    desk.page.reload()
    expect(desk.page.locator(".message-ours").last).to_contain_text("Sent")


def hold(desk: Visit, name: str, *, expected: str) -> None:
    desk.go("/desk/inquiries/?show=all")
    desk.follow(name)
    desk.follow(f"Hold it for {name}")
    desk.press("Place the hold")
    assert Hold.objects.get(contact__name=name).state == expected


def see_it_held(street: Visit, stock: int) -> None:
    street.go(Instrument.objects.get().get_absolute_url())
    expect(street.page.get_by_text("On hold").first).to_be_visible()
    assert "Ines" not in street.page.content()


def take_deposit(desk: Visit) -> str:
    running = Hold.objects.get(state=Hold.State.ACTIVE)
    desk.go(f"/desk/holds/{running.pk}/deposit/")
    desk.fill(price="12,500", shipping="180.50", amount="2,500")
    desk.page.select_option("[name=method]", label="Bank wire")
    desk.press("Open the sale")
    sale = Sale.objects.get()
    assert facts_of(sale).balance == Decimal("10180.50")
    receipt = desk.page.request.get(
        f"{desk.home}/desk/papers/{sale.papers.get(kind='receipt').number}/version-1.pdf"
    )
    assert receipt.body().startswith(b"%PDF-")
    return sale.number


def pay_and_clear(desk: Visit, sale: str) -> None:
    page = desk.go(f"/desk/sales/{sale}/")
    page.locator("#payment [name=amount]").fill("10,180.50")
    page.locator("#payment [name=method]").select_option(label="Bank wire")
    desk.press("Record the payment")
    for _ in range(2):
        desk.page.locator("#bank [name=final]").first.check()
        desk.press("Mark as cleared")
    assert facts_of(Sale.objects.get()).uncleared == 0


def send_and_deliver(desk: Visit, sale: str, clock: Clock, folder: Path) -> None:
    clock.ahead += timedelta(days=1)
    page = desk.go(f"/desk/sales/{sale}/")
    page.set_input_files("#before-sealing [name=files]", [photograph(folder, number) for number in (31, 32)])
    page.locator("#before-sealing [name=caption]").fill("The open carton")
    desk.press("Send the photographs")
    expect(page.locator(".parcel-pictures img")).to_have_count(2)
    page = desk.go(f"/desk/sales/{sale}/")
    page.locator("#parcel [name=carrier]").select_option(label="Mule Train")
    page.locator("#parcel [name=weight]").fill("21 lb 4 oz")
    page.locator("#parcel [name=tracking]").fill("M 4417")
    page.locator("#parcel [name=declared_value]").fill("12,500")
    desk.press("Record that it has gone")
    clock.ahead += timedelta(days=2)
    page = desk.go(f"/desk/sales/{sale}/")
    local = timezone.localtime(clock.now() - timedelta(minutes=10), the_shop().zone)
    page.locator("#delivered [name=delivered_at]").fill(local.strftime("%Y-%m-%dT%H:%M"))
    desk.press("Record the delivery")
    expect(page.get_by_text("On approval").first).to_be_visible()


def close(desk: Visit, sale: str, clock: Clock) -> None:
    clock.ahead += timedelta(hours=49)
    desk.go(f"/desk/sales/{sale}/")
    desk.press("Close the sale")
    assert Sale.objects.get().outcome == Sale.Outcome.CLOSED


def see_it_sold(street: Visit, stock: int) -> None:
    street.go("/sold/")
    street.follow("Corvane & Sons Meadowlark No. 3")
    expect(street.page.get_by_text("Sold").first).to_be_visible()
    assert street.page.locator("form[action*=ask]").count() == 0


def read_the_month(desk: Visit, clock: Clock) -> None:
    month = timezone.localtime(clock.now(), the_shop().zone).strftime("%Y-%m")
    page = desk.go(f"/desk/month/{month}/")
    text = page.locator("main").inner_text()
    for figure in ("$12,500", "$7,400.25", "$5,099.75"):
        assert figure in text, figure
    table = page.request.get(f"{desk.home}/desk/month/{month}.csv").text()
    assert "12500" in table
    assert "5099.75" in table
