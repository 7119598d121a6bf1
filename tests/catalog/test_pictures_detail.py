"""A closer look at a photograph: made when it is first asked for, once, and only of what is public."""

import io
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from catalog.models import Finding, Instrument, Part, Photograph
from catalog.pictures.actions import receive_photograph
from catalog.pictures.intake import original_path
from catalog.pictures.prints import detail_path
from shop.jobs.worker import drain
from shop.models import Job
from tests.factories import NOON, HelperFactory, InstrumentFactory, PhotographFactory, ShopFactory

pytestmark = pytest.mark.django_db
SIDEWAYS = 6


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.ORIGINALS_DIR, settings.PRINTS_DIR = tmp_path / "originals", tmp_path / "prints"
    ShopFactory()


def received(instrument: Instrument, size: tuple[int, int] = (3600, 2400), turned: int = 1) -> Photograph:
    """A photograph with a position, an owner and a comment in its file, and its prints."""
    exif = Image.Exif()
    exif[0x0112], exif[0x8298] = turned, "WATERMARK"
    exif.get_ifd(0x8825)[29] = "WATERMARK"
    out = io.BytesIO()
    Image.new("RGB", size, "#876").save(out, "JPEG", exif=exif, comment=b"WATERMARK", quality=30)
    upload = SimpleUploadedFile("WATERMARK.jpg", out.getvalue())
    photograph = receive_photograph(instrument, upload, by=None, at=NOON)
    drain()
    photograph.refresh_from_db()
    return photograph


def look(client: Client, photograph: Photograph) -> tuple[int, bytes]:
    answer = client.get(reverse("picture-detail", args=[photograph.token]))
    return answer.status_code, b"".join(answer.streaming_content) if answer.streaming else answer.content


def jobs() -> int:
    return Job.objects.filter(task="catalog.pictures.tasks.look_closer").count()


def test_the_first_who_asks_has_it_made_and_the_next_has_it(client: Client) -> None:
    photograph = received(InstrumentFactory(listed=True))
    assert not detail_path(photograph.token).exists(), "nobody has looked yet"
    answer = client.get(reverse("picture-detail", args=[photograph.token]))
    assert (answer.status_code, answer["Cache-Control"], answer.content) == (202, "no-store", b"")
    drain()
    status, data = look(client, photograph)
    assert status == 200
    with Image.open(io.BytesIO(data)) as picture:
        assert (picture.format, picture.size) == ("WEBP", (3200, 2133))
        assert set(picture.info) <= {"loop", "background", "timestamp", "duration"}
        assert not picture.getexif()
    assert b"WATERMARK" not in data
    told = client.head(reverse("picture-detail", args=[photograph.token]))
    told.close()
    assert "immutable" in told["Cache-Control"]


def test_many_who_ask_are_one_job_and_none_when_it_is_there(client: Client) -> None:
    photograph = received(InstrumentFactory(listed=True))
    assert [look(client, photograph)[0] for _ in range(5)] == [202] * 5
    assert jobs() == 1
    drain()
    assert look(client, photograph)[0] == 200
    assert jobs() == 1


def test_a_job_that_was_given_up_is_not_begun_again_by_asking(client: Client) -> None:
    photograph = received(InstrumentFactory(listed=True))
    look(client, photograph)
    Job.objects.filter(task="catalog.pictures.tasks.look_closer").update(state=Job.State.FAILED)
    assert look(client, photograph)[0] == 202
    assert jobs() == 1


@pytest.mark.parametrize("state", ["draft", "withdrawn"])
def test_of_what_is_not_public_a_stranger_has_none_and_nobody_has_one_made(
    client: Client, state: str
) -> None:
    instrument = InstrumentFactory(state=state)
    photograph = received(instrument)
    assert look(client, photograph)[0] == 404
    client.force_login(HelperFactory(), backend="django.contrib.auth.backends.ModelBackend")
    assert look(client, photograph)[0] == 404
    assert jobs() == 0


def test_one_that_was_made_is_gone_for_strangers_when_the_piece_is_taken_down(client: Client) -> None:
    photograph = received(InstrumentFactory(listed=True))
    look(client, photograph)
    drain()
    Instrument.objects.update(state="withdrawn")
    assert look(client, photograph)[0] == 404
    client.force_login(HelperFactory(), backend="django.contrib.auth.backends.ModelBackend")
    answer = client.get(reverse("picture-detail", args=[photograph.token]))
    b"".join(answer.streaming_content)
    assert (answer.status_code, answer["Cache-Control"]) == (200, "private, no-store")


@pytest.mark.parametrize(
    ("size", "turned", "expected"),
    [
        ((1600, 1200), 1, None),
        ((900, 2400), 1, None),
        ((1601, 1000), 1, (1601, 1000)),
        ((2400, 1800), 1, (2400, 1800)),
        ((2400, 1500), SIDEWAYS, None),
        ((4000, 2000), SIDEWAYS, (2000, 4000)),
        ((2000, 9000), 1, None),
        ((3000, 9000), 1, (2133, 6399)),
    ],
)
def test_there_is_one_only_where_the_original_has_more_to_see(
    client: Client, size: tuple[int, int], turned: int, expected: tuple[int, int] | None
) -> None:
    photograph = received(InstrumentFactory(listed=True), size, turned)
    status, _ = look(client, photograph)
    drain()
    if expected is None:
        assert (status, jobs(), look(client, photograph)[0]) == (404, 0, 404)
    else:
        assert status == 202
        assert Image.open(io.BytesIO(look(client, photograph)[1])).size == expected


def test_without_its_original_or_before_it_is_ready_there_is_none(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    photograph = received(instrument)
    original_path(photograph.sha256, photograph.suffix).unlink()
    assert look(client, photograph)[0] == 404
    assert look(client, PhotographFactory(instrument=instrument, state="waiting"))[0] == 404
    assert client.get(reverse("picture-detail", args=["nothing"])).status_code == 404
    assert jobs() == 0


def test_it_is_made_of_a_photograph_that_is_still_there(client: Client) -> None:
    photograph = received(InstrumentFactory(listed=True))
    look(client, photograph)
    Photograph.objects.filter(pk=photograph.pk).delete()
    drain()
    assert not detail_path(photograph.token).exists()
    assert not Job.objects.exclude(state=Job.State.DONE).exists()


def test_a_caption_says_which_view_it_is_and_which_parts_it_speaks_for(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    view = instrument.kind.views.first()
    assert view is not None
    lead = PhotographFactory(instrument=instrument, lead=True, view=view, caption="By north light")
    for part in Part.objects.filter(kind=instrument.kind, slug__in=["rim", "nut"]):
        Finding.objects.create(
            instrument=instrument,
            part=part,
            state="original",
            evidence="Seen",
            examined_at=NOON,
            photograph=lead,
        )
    further = PhotographFactory(instrument=instrument, width=1200, height=900, widths=[400, 800, 1200])
    page = client.get(instrument.get_absolute_url())
    shown, other = page.context["listing"].pictures
    assert {name.lower() for name in shown.shows} == {"rim", "nut"}
    assert f"<b>{view.name}</b> By north light" in page.text
    assert f'Evidence for: <a href="#originality">{"; ".join(shown.shows)}</a>' in page.text
    assert other.shows == ()
    assert f'data-detail="/pictures/{lead.token}/detail.webp"' in page.text
    assert further.token not in "".join(page.text.split('data-detail="')[1:2]).split('"')[0]
    assert page.text.count("data-detail=") == 1, "a narrow original has no detail to ask for"


def test_without_scripts_every_picture_is_a_link_to_its_largest_print(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    for place in range(3):
        PhotographFactory(instrument=instrument, lead=place == 0)
    page = client.get(instrument.get_absolute_url())
    for picture in page.context["listing"].pictures:
        assert f'<a href="{picture.full}"' in page.text
        assert picture.full.endswith("/1600.jpg")
