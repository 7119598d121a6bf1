"""A question by mail until nothing more is owed to it, at the desk by keyboard alone, with real letters both ways."""

import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from email.message import EmailMessage
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image
from playwright.sync_api import BrowserContext, Locator, Page, expect

from catalog.models import Instrument
from catalog.pictures.actions import receive_photograph
from inquiries.mail.fetching import fetch
from inquiries.models import Inquiry, Message
from shop.jobs.worker import drain
from tests.browser.visit import Visit
from tests.factories import PASSWORD, InstrumentFactory, OwnerFactory, ShopFactory
from tests.support.mailbox import Mailbox

NewContext = Callable[..., BrowserContext]
MOST = 200  # presses of the Tab key until something is reached
FLOOR = "9,000"


@pytest.fixture
def maildir(settings: Any, tmp_path: Path) -> Path:
    """Where a mail server on this machine delivers."""
    home = tmp_path / "Maildir"
    for name in ("new", "cur", "tmp"):
        (home / name).mkdir(parents=True)
    settings.INBOX_MAILDIR, settings.INBOX_HOST = str(home), ""
    return home


@pytest.fixture
def piece(live_server: Any) -> Instrument:
    """A listed piece with one photograph, which the owner would let go for less than is asked."""
    ShopFactory()
    owner = OwnerFactory(username="ada")
    piece = InstrumentFactory(listed=True, floor_price=Decimal(9000))
    file = BytesIO()
    Image.new("RGB", (1800, 1300), "#a87").save(file, "JPEG")
    upload = SimpleUploadedFile("front.jpg", file.getvalue())
    receive_photograph(piece, upload, by=owner, at=timezone.now())
    drain()
    return piece


def test_a_question_by_mail_is_answered_without_a_mouse(
    live_server: Any, new_context: NewContext, mailbox: Mailbox, maildir: Path, piece: Instrument
) -> None:
    desk = Visit(new_context().new_page(), live_server.url)
    log_in(desk)

    deliver(maildir, question(piece))
    sort_it(desk, piece)
    write_the_answer(desk.page)
    stopped_at_the_floor(desk.page)
    address = give_a_picture(desk.page)
    send_it(desk.page, mailbox, address)
    look_without_scripts(new_context, address)

    deliver(maildir, answer_to(mailbox.received[-1]))
    see_it_wait(desk)
    needs_no_answer(desk.page)
    set_a_day(desk.page)
    take_the_pictures_back(desk.page, new_context, address)


def log_in(desk: Visit) -> None:
    desk.go("/desk/")
    desk.fill(username="ada")
    desk.fill(password=PASSWORD)
    with desk.page.expect_navigation():
        desk.page.keyboard.press("Enter")


def tab_to(page: Page, wanted: Locator) -> None:
    """Press the Tab key until it is reached."""
    for _ in range(MOST):
        if wanted.evaluate("one => one === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{wanted} is not reached by the Tab key")


def press(page: Page, wanted: Locator, *, leads_on: bool = True) -> None:
    """Reach it by the Tab key and press it."""
    tab_to(page, wanted)
    if not leads_on:
        page.keyboard.press("Enter")
        return
    with page.expect_navigation():
        page.keyboard.press("Enter")


def button(page: Page, words: str) -> Locator:
    return page.get_by_role("button", name=words, exact=True)


def text_of(page: Page) -> Locator:
    return page.locator("#answer-form [name=text]")


def deliver(maildir: Path, letter: EmailMessage) -> None:
    """A mail server puts it in, and the worker's round finds it."""
    name = f"{timezone.now().timestamp():.6f}.letter.host"
    (maildir / "tmp" / name).write_bytes(letter.as_bytes())
    (maildir / "tmp" / name).rename(maildir / "new" / name)
    assert fetch() == []
    assert not list((maildir / "new").iterdir())


def question(piece: Instrument) -> EmailMessage:
    letter = EmailMessage()
    letter["From"] = "Ines Vale <ines@post.example>"
    letter["To"] = "desk@harrowlane.example"
    letter["Subject"] = f"The banjo (no. {piece.stock_id})"
    letter["Message-ID"] = "<first@post.example>"
    letter.set_content("Is it still there, and what would you let it go for?\n")
    return letter


def answer_to(ours: EmailMessage) -> EmailMessage:
    """Nothing names the thread but the address that we asked to be answered at."""
    letter = EmailMessage()
    letter["From"] = "Ines Vale <ines@post.example>"
    letter["To"] = ours["Reply-To"]
    letter["Subject"] = "Thank you"
    letter["Message-ID"] = "<second@post.example>"
    said = str(ours.get_content()).splitlines()[0]
    letter.set_content(f"The picture is all I needed. I will think it over.\n\nYou wrote:\n> {said}\n")
    return letter


def sort_it(desk: Visit, piece: Instrument) -> None:
    page = desk.go("/desk/")
    press(page, page.get_by_role("link", name="Sort the mail"))
    press(page, page.get_by_role("link", name="Ines Vale: The banjo"))
    expect(page.locator("[name=stock]")).to_have_value(str(piece.stock_id))
    press(page, button(page, "Open a thread"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("Ines Vale, about")
    assert not Message.objects.filter(ours=True).exists(), "nobody was answered by a machine"


def write_the_answer(page: Page) -> None:
    tab_to(page, text_of(page))
    page.keyboard.type("Dear Ines Vale, ")
    press(
        page,
        page.locator("button[data-words*=available]").first,
        leads_on=False,
    )
    expect(text_of(page)).to_be_focused()
    page.keyboard.type(f" Between us, {FLOOR} would do.")
    expect(text_of(page)).to_have_value(
        re.compile(r"^Dear Ines Vale, .*available.* Between us, 9,000 would do\.$")
    )


def stopped_at_the_floor(page: Page) -> None:
    typed = text_of(page).input_value()
    press(page, button(page, "Send the answer"))
    expect(page.get_by_text("Your answer has not gone out.")).to_be_visible()
    expect(page.locator("#answer mark")).to_have_text([FLOOR])
    expect(button(page, "Send as it stands")).to_have_count(0)
    expect(text_of(page)).to_have_value(typed)
    assert not Message.objects.filter(ours=True).exists()
    tab_to(page, text_of(page))
    page.keyboard.press("Control+End")
    for _ in range(len(f" Between us, {FLOOR} would do.")):
        page.keyboard.press("Backspace")
    page.keyboard.type(" The price is firm; “käme” has two dots.")


def give_a_picture(page: Page) -> str:
    tab_to(page, page.locator("summary", has_text="Private pictures"))
    page.keyboard.press("Enter")
    tab_to(page, page.locator("[name=link-photographs]").first)
    page.keyboard.press("Space")
    press(page, button(page, "Put a private link in"))
    found = re.search(r"http://\S+/pictures-for-you/\S+/", text_of(page).input_value())
    assert found is not None
    return found.group()


def send_it(page: Page, mailbox: Mailbox, address: str) -> None:
    typed = text_of(page).input_value()
    press(page, button(page, "Send the answer"))
    expect(page.get_by_text("Your answer to Ines Vale is on its way.")).to_be_visible()
    drain()
    page.reload()
    kept = Message.objects.get(ours=True)
    shown = page.locator(".message-ours .message-text").inner_text()
    assert kept.body == typed
    assert shown.split() == typed.split(), "the thread shows what was sent"
    assert len(mailbox.wires) == 1
    assert mailbox.wires[0].decode() == kept.wire, "byte for byte"
    letter = mailbox.received[0]
    unflowed = re.sub(r" \n", " ", str(letter.get_content()))
    assert unflowed.split() == typed.split()
    assert address in unflowed
    assert letter["In-Reply-To"] == "<first@post.example>"
    assert mailbox.recipients == [["ines@post.example"]]
    expect(page.locator(".message-ours")).to_contain_text("Sent")


def look_without_scripts(new_context: NewContext, address: str) -> None:
    for where in (address, address.replace("/pictures-for-you/", "/de/pictures-for-you/")):
        page = new_context(java_script_enabled=False).new_page()
        answer = page.goto(where)
        assert answer is not None
        assert answer.status == 200
        picture = page.locator("main img")
        expect(picture).to_have_count(1)
        given = page.request.get(page.url + "1.jpg") if where == address else None
        if given is not None:
            with Image.open(BytesIO(given.body())) as opened:
                assert opened.size == (1800, 1300)
        assert "ines" not in page.content().lower()


def see_it_wait(desk: Visit) -> None:
    inquiry = Inquiry.objects.get()
    assert inquiry.messages.count() == 3
    assert inquiry.waiting_since is not None
    page = desk.go("/desk/inquiries/")
    expect(page.locator(".inbox-row")).to_contain_text("waiting")
    press(page, page.get_by_role("link", name="Ines Vale"))
    last = page.locator(".message-theirs").last
    expect(last.locator(".message-text").first).to_contain_text("The picture is all I needed.")
    expect(last.get_by_text("What it quotes")).to_be_visible()
    expect(page.locator(".page-note")).to_contain_text("first answer after")


def needs_no_answer(page: Page) -> None:
    press(page, button(page, "Needs no answer"))
    expect(page.locator(".page-note")).to_contain_text("Theirs to answer")
    assert Inquiry.objects.get().waiting_since is None


def set_a_day(page: Page) -> None:
    tab_to(page, page.locator("summary", has_text="Set a day"))
    page.keyboard.press("Enter")
    day = timezone.localdate() + timedelta(days=7)
    tab_to(page, page.locator("[name=on]"))
    page.keyboard.type(f"{day:%m%d%Y}")
    tab_to(page, page.locator("form[action*=follow-up] [name=note]"))
    page.keyboard.type("Has she thought it over?")
    press(page, button(page, "Set the day"))
    expect(page.locator(".follow-up")).to_contain_text(f"{day.day} {day:%B %Y}")
    assert Inquiry.objects.get().follow_up_on == day


def take_the_pictures_back(page: Page, new_context: NewContext, address: str) -> None:
    press(page, button(page, "Take back"))
    expect(page.locator("#pictures")).to_contain_text("taken back")
    stranger = new_context(java_script_enabled=False).new_page()
    answer = stranger.goto(address)
    assert answer is not None
    assert answer.status == 404
    assert stranger.request.get(f"{address}1.jpg").status == 404
