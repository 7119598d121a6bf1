"""The picture that stands for a listing elsewhere."""

import io
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from catalog.models import Instrument
from catalog.pictures.actions import receive_photograph
from catalog.pictures.prints import print_path
from catalog.public.machines import preview
from shop.jobs.worker import drain
from shop.models import ShopProfile
from tests.factories import NOON, InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(settings: Any, tmp_path: Path) -> None:
    settings.ORIGINALS_DIR, settings.PRINTS_DIR = tmp_path / "originals", tmp_path / "prints"
    ShopFactory()


def with_photograph(colour: str = "#3a7", size: tuple[int, int] = (1500, 2000), **fields: Any) -> Instrument:
    instrument = InstrumentFactory(listed=True, **fields)
    exif = Image.Exif()
    exif[0x8298] = "WATERMARK"
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG", exif=exif, comment=b"WATERMARK")
    receive_photograph(instrument, SimpleUploadedFile("x.jpg", out.getvalue()), by=None, at=NOON)
    drain()
    return instrument


def address_in(page: str) -> str:
    return page.split('property="og:image" content="')[1].split('"')[0].removeprefix("http://testserver")


def picture_of(client: Client, instrument: Instrument) -> Image.Image:
    answer = client.get(address_in(client.get(instrument.get_absolute_url()).text))
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
    assert "immutable" in answer["Cache-Control"]
    data = b"".join(answer.streaming_content)
    assert b"WATERMARK" not in data
    return Image.open(io.BytesIO(data))


def close(one: Any, other: tuple[int, int, int]) -> bool:
    return all(abs(a - b) < 12 for a, b in zip(one, other, strict=True))


def test_it_has_the_lead_photograph_beside_words_on_the_shops_paper(client: Client) -> None:
    picture = picture_of(client, with_photograph())
    assert picture.size == (1200, 630)
    assert not picture.getexif()
    assert "comment" not in picture.info
    assert close(picture.getpixel((230, 300)), (0x33, 0xAA, 0x77)), "the photograph, upright, at the left"
    assert close(picture.getpixel((1190, 10)), (0xF5, 0xF4, 0xED)), "paper at the right"
    ink = sum(sum(picture.getpixel((x, y))) < 300 for x in range(530, 1150) for y in range(50, 600, 3))
    assert ink > 1000, "words in ink"


@pytest.mark.parametrize("size", [(3000, 900), (900, 3000)])
def test_a_wide_or_a_tall_photograph_is_never_cropped(client: Client, size: tuple[int, int]) -> None:
    picture = picture_of(client, with_photograph(size=size))
    shown = [
        (x, y)
        for x in range(0, 1200, 4)
        for y in range(0, 630, 4)
        if close(picture.getpixel((x, y)), (51, 170, 119))
    ]
    wide = max(x for x, _ in shown) - min(x for x, _ in shown)
    tall = max(y for _, y in shown) - min(y for _, y in shown)
    assert abs(wide / tall - size[0] / size[1]) < 0.2
    assert wide <= 640


def test_without_a_photograph_it_is_words_alone(client: Client) -> None:
    picture = picture_of(client, InstrumentFactory(listed=True))
    assert close(picture.getpixel((20, 20)), (0xF5, 0xF4, 0xED))


def test_the_page_says_its_size_and_what_it_shows(client: Client) -> None:
    instrument = with_photograph()
    page = client.get(instrument.get_absolute_url()).text
    for said in (
        '<meta property="og:image:width" content="1200">',
        '<meta property="og:image:height" content="630">',
        f'<meta property="og:image:alt" content="No. {instrument.stock_id}: ',
        '<meta name="twitter:card" content="summary_large_image">',
        f'<meta property="og:url" content="http://testserver{instrument.get_absolute_url()}">',
    ):
        assert said in page, said


def test_its_address_changes_with_what_it_shows_and_an_old_one_leads_on(client: Client) -> None:
    instrument = with_photograph()
    first = address_in(client.get(instrument.get_absolute_url()).text)
    picture_of(client, instrument)
    ShopProfile.objects.update(name="Fennel Court Strings")
    second = address_in(client.get(instrument.get_absolute_url()).text)
    assert first != second
    answer = client.get(first)
    assert (answer.status_code, answer["Location"]) == (302, second)
    Instrument.objects.filter(pk=instrument.pk).update(asking_price=1)
    assert address_in(client.get(instrument.get_absolute_url()).text) == second, "the price is not in it"


def test_it_is_drawn_once_and_an_older_one_is_cleared_away(
    client: Client, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    drawn: list[str] = []
    draw = preview._drawn
    monkeypatch.setattr(
        preview, "_drawn", lambda card, shop, lead: (drawn.append(shop), draw(card, shop, lead))[1]
    )
    instrument = with_photograph()
    picture_of(client, instrument)
    picture_of(client, instrument)
    assert drawn == ["Harrow Lane Strings"]
    ShopProfile.objects.update(name="Fennel Court Strings")
    picture_of(client, instrument)
    assert len(drawn) == 2
    assert len(list((settings.PRINTS_DIR / "previews").iterdir())) == 1


def test_one_without_its_print_is_not_kept(client: Client, settings: Any) -> None:
    instrument = with_photograph()
    photograph = instrument.photographs.get()
    print_path(photograph.token, photograph.largest, "jpg").unlink()
    picture_of(client, instrument)
    assert not (settings.PRINTS_DIR / "previews").exists()


@pytest.mark.parametrize("state", ["draft", "withdrawn"])
def test_what_is_not_public_has_none(client: Client, state: str) -> None:
    instrument = InstrumentFactory(state=state)
    assert client.get(f"{instrument.get_absolute_url()}preview-x.jpg").status_code == 404


def test_a_name_of_any_length_fits(client: Client) -> None:
    instrument = with_photograph()
    assert instrument.model is not None
    instrument.model.name = "Meadowlark " * 10
    instrument.model.save()
    ShopProfile.objects.update(name="A shop with a very long name indeed " * 3)
    assert picture_of(client, instrument).size == (1200, 630)
