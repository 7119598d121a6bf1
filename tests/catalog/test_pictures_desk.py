"""The photographs of a record at the desk: send, describe, order, lead, remove."""

import errno
import io
import os
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from catalog.models import Instrument, Kind, Photograph
from catalog.pictures.intake import original_path
from shop.jobs.models import Job
from shop.jobs.worker import drain
from shop.models import Entry
from tests.factories import InstrumentFactory, PhotographFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.ORIGINALS_DIR = tmp_path / "originals"
    settings.PRINTS_DIR = tmp_path / "prints"


def jpeg(shade: int = 80) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (420, 300), (shade, 90, 60)).save(out, "JPEG")
    return out.getvalue()


def file(name: str, content: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, jpeg() if content is None else content, "image/jpeg")


def page(instrument: Instrument) -> str:
    return reverse("pictures", args=[instrument.stock_id])


def deed(name: str, photograph: Photograph) -> str:
    return reverse(f"picture-{name}", args=[photograph.instrument.stock_id, photograph.token])


def send(client: Client, instrument: Instrument, *files: SimpleUploadedFile, **more: Any) -> Any:
    return client.post(reverse("pictures-send", args=[instrument.stock_id]), {"files": list(files)}, **more)


def three(instrument: Instrument) -> list[Photograph]:
    return [PhotographFactory(instrument=instrument, position=n, lead=n == 0) for n in range(3)]


def order(instrument: Instrument) -> list[int]:
    return list(instrument.photographs.values_list("pk", flat=True))


def test_many_files_in_one_press_each_kept_or_refused_by_name(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    files = [
        file("front.jpg", jpeg(10)),
        file("script.jpg", b"<script>alert(1)</script>"),
        file("back.jpg", jpeg(20)),
        file("front-again.jpg", jpeg(10)),
    ]
    answer = send(helpers_desk, instrument, *files)
    assert answer["Location"] == page(instrument)
    said = helpers_desk.get(page(instrument)).content.decode()
    assert "front.jpg is kept." in said
    assert "script.jpg is not a photograph that can be read." in said
    assert "front-again.jpg is here already, as front.jpg." in said
    assert list(instrument.photographs.values_list("original_name", flat=True)) == ["front.jpg", "back.jpg"]


def test_one_file_sent_by_the_page_is_answered_with_its_own_row(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    kept = send(helpers_desk, instrument, file("front.jpg"), headers={"accept": "application/json"}).json()
    refused = send(
        helpers_desk, instrument, file("x.jpg", b"none"), headers={"accept": "application/json"}
    ).json()
    photograph = instrument.photographs.get()
    assert kept["files"][0]["kept"] is True
    assert f'id="print-{photograph.token}"' in kept["files"][0]["print"]
    assert refused["files"] == [
        {
            "name": "x.jpg",
            "kept": False,
            "says": "x.jpg is not a photograph that can be read. Send JPEG, PNG, WebP, TIFF, AVIF or HEIC.",
        }
    ]


def test_a_name_cannot_carry_markup_or_a_path(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    answer = send(
        helpers_desk, instrument, file("../../<i>x.jpg"), headers={"accept": "application/json"}
    ).json()
    assert "<i>" not in answer["files"][0]["print"]
    kept = instrument.photographs.get()
    assert kept.original_name == "<i>x.jpg"
    assert original_path(kept.sha256, kept.suffix).exists()


def test_no_file_at_all_is_said(helpers_desk: Client) -> None:
    answer = helpers_desk.post(reverse("pictures-send", args=[InstrumentFactory().stock_id]), follow=True)
    assert "No file came with that." in answer.content.decode()


def test_a_full_disk_refuses_one_and_keeps_the_others(
    helpers_desk: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    instrument = InstrumentFactory()
    real, calls = os.fsync, []

    def full_at_the_third(handle: int) -> None:
        # Each kept file is written through twice: its content, then its folder. The third is the second file.
        calls.append(handle)
        if len(calls) == 3:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full_at_the_third)
        send(helpers_desk, instrument, *(file(f"{n}.jpg", jpeg(n)) for n in (1, 2, 3)))
    assert "2.jpg was not kept: the disk is full." in helpers_desk.get(page(instrument)).content.decode()
    assert list(instrument.photographs.values_list("original_name", flat=True)) == ["1.jpg", "3.jpg"]


def test_the_request_leaves_the_work_to_the_worker(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    send(helpers_desk, instrument, file("front.jpg"))
    photograph = instrument.photographs.get()
    assert (photograph.state, Job.objects.count()) == ("waiting", 1)
    waiting = helpers_desk.get(deed("plate", photograph)).content.decode()
    assert "Being prepared" in waiting
    assert f'hx-get="{deed("plate", photograph)}"' in waiting
    drain()
    ready = helpers_desk.get(deed("plate", photograph)).content.decode()
    assert reverse("picture", args=[photograph.token, 400, "avif"]) in ready
    assert "hx-get" not in ready


def test_a_damaged_picture_says_so_and_stops_asking(helpers_desk: Client) -> None:
    photograph = PhotographFactory(state="refused", refusal="a.jpg is damaged.", widths=[])
    plate = helpers_desk.get(deed("plate", photograph)).content.decode()
    assert "a.jpg is damaged." in plate
    assert "hx-get" not in plate


def test_a_photograph_is_described_with_history(helpers_desk: Client) -> None:
    photograph = PhotographFactory()
    view = photograph.instrument.kind.views.get(slug="front")
    for _ in range(2):
        typed = {"view": str(view.pk), "caption": "Whole front, by the window"}
        assert helpers_desk.post(deed("describe", photograph), typed).status_code == 302
    photograph.refresh_from_db()
    assert (photograph.view, photograph.caption) == (view, "Whole front, by the window")
    assert Entry.objects.filter(about_id=photograph.instrument_id, field="caption").count() == 1
    there = helpers_desk.get(page(photograph.instrument)).content.decode()
    assert 'view-there">Whole front' in there


def test_a_caption_too_long_or_a_view_of_another_kind_changes_nothing(helpers_desk: Client) -> None:
    photograph = PhotographFactory(caption="As it was")
    foreign = Kind.objects.exclude(pk=photograph.instrument.kind_id).first()
    assert foreign is not None
    view = foreign.views.first()
    assert view is not None
    long = "a" * 201
    for typed in ({"caption": long}, {"view": str(view.pk), "caption": "Typed words"}):
        answer = helpers_desk.post(deed("describe", photograph), typed)
        assert answer.status_code == 200
        assert f'value="{typed["caption"]}"' in answer.content.decode()
        assert "errorlist" in answer.content.decode()
    photograph.refresh_from_db()
    assert (photograph.caption, photograph.view) == ("As it was", None)


def test_earlier_and_later_move_by_one_and_stop_at_the_ends(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    a, b, c = three(instrument)
    helpers_desk.post(deed("move", c), {"to": "earlier"})
    assert order(instrument) == [a.pk, c.pk, b.pk]
    helpers_desk.post(deed("move", a), {"to": "later"})
    assert order(instrument) == [c.pk, a.pk, b.pk]
    helpers_desk.post(deed("move", c), {"to": "earlier"})
    helpers_desk.post(deed("move", b), {"to": "later"})
    assert order(instrument) == [c.pk, a.pk, b.pk]


def test_the_mouse_sets_the_whole_order_and_strange_tokens_count_for_nothing(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    a, b, c = three(instrument)
    stranger = PhotographFactory()
    path = reverse("pictures-order", args=[instrument.stock_id])
    helpers_desk.post(path, {"order": [c.token, stranger.token, "nonsense", a.token, c.token]})
    assert order(instrument) == [c.pk, a.pk, b.pk]
    helpers_desk.post(path)
    assert order(instrument) == [c.pk, a.pk, b.pk]


def test_one_photograph_leads(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    _, b, _ = three(instrument)
    for _ in range(2):
        assert helpers_desk.post(deed("lead", b)).status_code == 302
    assert list(instrument.photographs.filter(lead=True)) == [b]


def test_removing_asks_first_keeps_the_original_and_forgives_a_second_press(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    send(helpers_desk, instrument, file("front.jpg"))
    photograph = instrument.photographs.get()
    question = helpers_desk.get(deed("remove", photograph))
    assert "Take front.jpg off the record?" in question.content.decode()
    assert instrument.photographs.count() == 1
    for _ in range(2):
        assert helpers_desk.post(deed("remove", photograph)).status_code == 302
    assert instrument.photographs.count() == 0
    assert original_path(photograph.sha256, photograph.suffix).exists()
    assert helpers_desk.get(deed("remove", photograph)).status_code == 302


@pytest.mark.parametrize("name", ["describe", "lead", "move"])
def test_deeds_are_posts_by_people_of_the_desk(client: Client, helpers_desk: Client, name: str) -> None:
    photograph = PhotographFactory(caption="As it was")
    assert helpers_desk.get(deed(name, photograph)).status_code == 405
    assert client.post(deed(name, photograph))["Location"].startswith(reverse("log-in"))
    photograph.refresh_from_db()
    assert photograph.caption == "As it was"


@pytest.mark.parametrize("name", ["pictures-send", "pictures-order"])
def test_sending_and_ordering_are_posts_by_people_of_the_desk(
    client: Client, helpers_desk: Client, name: str
) -> None:
    instrument = InstrumentFactory()
    path = reverse(name, args=[instrument.stock_id])
    assert helpers_desk.get(path).status_code == 405
    assert client.post(path, {"files": [file("a.jpg")]})["Location"].startswith(reverse("log-in"))
    assert not Photograph.objects.exists()


def test_a_photograph_of_another_record_is_not_reached_through_this_one(helpers_desk: Client) -> None:
    mine, other = InstrumentFactory(), PhotographFactory(caption="As it was")
    path = reverse("picture-describe", args=[mine.stock_id, other.token])
    assert helpers_desk.post(path, {"caption": "Taken"}).status_code == 404


def test_a_strangers_form_is_refused(helper: Any) -> None:
    guarded = Client(enforce_csrf_checks=True)
    guarded.force_login(helper)
    answer = send(guarded, InstrumentFactory(), file("a.jpg"))
    assert answer.status_code == 403
    assert not Photograph.objects.exists()
