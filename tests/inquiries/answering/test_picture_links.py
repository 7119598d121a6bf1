"""A private link to full-size pictures: who may see what, for how long, and what nobody sees."""

from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from catalog.models import Photograph
from catalog.pictures.actions import receive_photograph
from inquiries.answering import views
from inquiries.answering.actions import hashed, make_link, take_back
from inquiries.models import Inquiry, PictureLink
from shop.jobs.worker import drain
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, InquiryFactory, InstrumentFactory, PhotographFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import entry

CANARY = b"Ada Brumby, 14 Mill Lane"
SAME = "There are no pictures at this address, or no longer."


@pytest.fixture
def inquiry(owner: User) -> Inquiry:
    return InquiryFactory(instrument=InstrumentFactory(listed=True), contact__name="Cole Withers")


@pytest.fixture
def photograph(inquiry: Inquiry, owner: User) -> Photograph:
    """One larger than the widest print, with a name in its EXIF, received and prepared."""
    exif = Image.Exif()
    exif[0x013B] = CANARY.decode()
    file = BytesIO()
    Image.effect_noise((2000, 1500), 40).convert("RGB").save(file, "JPEG", exif=exif, comment=CANARY)
    upload = SimpleUploadedFile("front.jpg", file.getvalue())
    row = receive_photograph(inquiry.instrument, upload, by=owner, at=NOON)
    drain(clock=lambda: NOON)
    row.refresh_from_db()
    return row


def link(inquiry: Inquiry, *photographs: Photograph, days: int = 7, press: str = "") -> str:
    return make_link(inquiry, photographs, days, entry=press or entry(), by=None, at=NOON)


def page(client: Client, token: str) -> tuple[int, str]:
    answer = client.get(reverse("pictures-for-you", args=[token]))
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Referrer-Policy"] == "no-referrer"
    assert "noindex" in answer["X-Robots-Tag"]
    assert not answer.cookies
    return answer.status_code, answer.text


def test_the_page_shows_pictures_number_and_end_and_no_more(
    client: Client, inquiry: Inquiry, photograph: Photograph
) -> None:
    token = link(inquiry, photograph)
    status, text = page(client, token)
    assert status == 200
    assert f"Pictures of no. {inquiry.instrument.stock_id}" in text
    assert "17 Jun 2026" in text
    assert reverse("picture-for-you", args=[token, 1]) in text
    for private in ("Withers", inquiry.instrument.name, "12,500", "front.jpg", photograph.token):
        assert private not in text


def test_it_is_reached_in_german_too(client: Client, inquiry: Inquiry, photograph: Photograph) -> None:
    answer = client.get("/de" + reverse("pictures-for-you", args=[link(inquiry, photograph)]))
    assert answer.status_code == 200
    assert '<html lang="de">' in answer.text


def test_the_picture_is_whole_and_without_metadata(
    client: Client, inquiry: Inquiry, photograph: Photograph
) -> None:
    token = link(inquiry, photograph)
    address = reverse("picture-for-you", args=[token, 1])

    def served() -> bytes:
        answer = client.get(address)
        assert answer.status_code == 200
        assert answer["Cache-Control"] == "private, no-store"
        return b"".join(answer.streaming_content)  # type: ignore[attr-defined]

    print_of_it = served()
    assert Image.open(BytesIO(print_of_it)).size == (1600, 1200)
    drain(clock=lambda: NOON)
    whole = served()
    picture = Image.open(BytesIO(whole))
    assert picture.size == (2000, 1500)
    assert not picture.getexif()
    for data in (print_of_it, whole):
        assert CANARY not in data
        assert b"Exif" not in data


def test_unknown_expired_and_taken_back_are_told_in_the_same_words(
    client: Client, clock: Clock, inquiry: Inquiry, photograph: Photograph
) -> None:
    expired, gone = link(inquiry, photograph, days=1), link(inquiry, photograph)
    take_back(PictureLink.objects.get(token_hash=hashed(gone)), by=None, at=NOON)
    clock.on(hours=24)
    told = [page(client, token) for token in ("unknown", expired, gone)]
    texts = {
        text.replace(token, "")
        for (_status, text), token in zip(told, ("unknown", expired, gone), strict=True)
    }
    assert [status for status, _text in told] == [404, 404, 404]
    assert len(texts) == 1
    assert SAME in texts.pop()
    for token in ("unknown", expired, gone):
        answer = client.get(reverse("picture-for-you", args=[token, 1]))
        assert (answer.status_code, answer.content) == (404, b"")


def test_only_the_pictures_chosen_are_shown(client: Client, inquiry: Inquiry, photograph: Photograph) -> None:
    PhotographFactory(instrument=inquiry.instrument)
    token = link(inquiry, photograph)
    assert client.get(reverse("picture-for-you", args=[token, 2])).status_code == 404
    assert client.get(reverse("picture-for-you", args=[token, 0])).status_code == 404


def test_openings_are_counted_and_a_mere_question_is_none(
    client: Client, inquiry: Inquiry, photograph: Photograph
) -> None:
    token = link(inquiry, photograph)
    client.head(reverse("pictures-for-you", args=[token]))
    page(client, token)
    page(client, token)
    assert PictureLink.objects.get().opened == 2


def test_who_asks_too_often_is_told_to_wait(
    client: Client, clock: Clock, inquiry: Inquiry, photograph: Photograph, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(views, "MOST_PAGES", 2)
    token = link(inquiry, photograph)
    assert [page(client, one)[0] for one in ("guess", "guess-again", token)] == [404, 404, 429]
    clock.on(hours=1)
    assert page(client, token)[0] == 200


def test_the_database_has_the_hash_alone_and_the_same_press_is_the_same_link(
    inquiry: Inquiry, photograph: Photograph
) -> None:
    press = entry()
    first, again = link(inquiry, photograph, press=press), link(inquiry, photograph, press=press)
    assert first == again
    row = PictureLink.objects.get()
    assert row.token_hash == hashed(first)
    assert first not in str(row.__dict__)
    assert link(inquiry, photograph) != first
    assert len(first) == 32


def test_the_letter_is_the_one_place_where_the_address_is_shown(
    helpers: Client, client: Client, inquiry: Inquiry, photograph: Photograph
) -> None:
    sent = {
        "text": "Dear Cole, yours",
        "cursor": "10",
        "entry": entry(),
        "link-entry": entry(),
        "link-days": "7",
        "link-photographs": str(photograph.pk),
    }
    address = reverse("inquiry-pictures", args=[inquiry.pk])
    text = helpers.post(address, sent).text
    said = (
        "Dear Cole, Here is the picture at full size, until 17 June 2026: http://testserver/pictures-for-you/"
    )
    assert said in text
    token = text.partition("/pictures-for-you/")[2].partition("/")[0]
    assert page(client, token)[0] == 200
    shown = helpers.get(reverse("inquiry", args=[inquiry.pk])).text
    assert "Pictures given" in shown
    assert "opened 1 time;" in shown
    assert token not in shown
    back = reverse("picture-link-take-back", args=[PictureLink.objects.get().pk])
    assert helpers.post(back).status_code == 302
    assert page(client, token)[0] == 404
    assert "taken back" in helpers.get(reverse("inquiry", args=[inquiry.pk])).text


@pytest.mark.parametrize("wrong", [{"link-days": "0"}, {"link-days": "91"}, {"link-photographs": ""}])
def test_a_link_that_cannot_be_made_loses_nothing_typed(
    wrong: dict[str, str], helpers: Client, inquiry: Inquiry, photograph: Photograph
) -> None:
    sent = {"text": "Dear Cole,", "entry": entry(), "link-entry": entry(), "link-days": "7"}
    text = helpers.post(
        reverse("inquiry-pictures", args=[inquiry.pk]),
        sent | {"link-photographs": str(photograph.pk)} | wrong,
    ).text
    assert "Dear Cole," in text
    assert not PictureLink.objects.exists()


def test_only_ready_photographs_of_this_piece_can_be_given(inquiry: Inquiry, photograph: Photograph) -> None:
    for other in (
        PhotographFactory(),
        PhotographFactory(instrument=inquiry.instrument, state=Photograph.State.WAITING),
    ):
        with pytest.raises(Refused):
            link(inquiry, other)
    with pytest.raises(Refused):
        make_link(InquiryFactory(instrument=None, matter="x"), [], 7, entry=entry(), by=None, at=NOON)


def test_a_link_serves_a_draft_to_its_person(
    client: Client, inquiry: Inquiry, photograph: Photograph
) -> None:
    """First call: a piece may be shown to one person before it is public."""
    type(inquiry.instrument).objects.update(state="draft", listed_at=None)
    token = link(inquiry, photograph)
    assert page(client, token)[0] == 200
    answer = client.get(reverse("picture-for-you", args=[token, 1]))
    assert b"".join(answer.streaming_content)  # type: ignore[attr-defined]
    assert Path(reverse("picture-for-you", args=[token, 1])).suffix == ".jpg"
    assert timedelta(days=7) == PictureLink.objects.get().until - NOON
