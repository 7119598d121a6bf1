"""The invented sound and film: plucked strings worked out here, taken in as a dealer's recording would be."""

import io
import json
import math
import random
import wave
from array import array
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any, cast

import av
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw

from catalog.instruments.models import Instrument
from catalog.recordings.actions import change_recording, receive_recording
from catalog.recordings.tasks import prepare
from catalog.recordings.vtt import read_chapters, written
from demo_fixtures.clock import Clock
from shop.models import User

Row = dict[str, Any]

RATE = 22_050
FILM_RATE = 48_000
LAST_RINGS = 2.2  # seconds
LOUDEST = 0.8
PICTURES_EACH_SECOND = 10
SIZE = (480, 270)
QUICK = {"deadline": "realtime", "cpu-used": "8", "b": "600k"}
WOOD, SHADE, STRING = (96, 58, 40), (60, 36, 26), (236, 226, 200)


def load_recordings(row: Row, instrument: Instrument, *, owner: User, clock: Clock) -> None:
    """Take in what there is of an instrument, and make it ready."""
    for tune in _tunes().get(instrument.stock_id, []):
        at = clock.at(row["listed_days_ago"] + 1, 16)
        content = film(tune) if tune["name"].endswith(".webm") else sound(tune)
        upload = SimpleUploadedFile(tune["name"], content)
        recording = receive_recording(instrument, upload, by=owner, at=at)
        finish = prepare.function(recording=recording.pk)
        assert finish is not None  # noqa: S101 - it has just come in
        finish(at)
        recording.refresh_from_db()
        said = {"title": tune["title"]}
        if tune["chapters"]:
            said["chapters"] = written(read_chapters(tune["chapters"], recording.milliseconds))
        change_recording(recording, said, by=owner, at=at)


@cache
def _tunes() -> dict[int, list[Row]]:
    file = Path(__file__).resolve().parent / "recordings.json"
    found: dict[int, list[Row]] = {}
    for tune in json.loads(file.read_text(encoding="utf-8")):
        found.setdefault(tune["stock"], []).append(tune)
    return found


def sound(tune: Row) -> bytes:
    """The tune as a WAV file, one channel."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(played(tune).tobytes())
    return out.getvalue()


def played(tune: Row) -> "array[int]":
    """Every pluck rings until its string is plucked again; 16 bits a sample."""
    chance = random.Random(tune["name"])
    plucks = tune["plucks"]
    mixed = [0.0] * int(RATE * (tune["step"] * len(plucks) + LAST_RINGS))
    for place, (string, fret) in enumerate(plucks):
        again = (later for later in range(place + 1, len(plucks)) if plucks[later][0] == string)
        begins, ends = int(RATE * tune["step"] * place), len(mixed)
        if (until := next(again, None)) is not None:
            ends = int(RATE * tune["step"] * until)
        rung = ringing(440 * 2 ** ((tune["strings"][string] + fret - 69) / 12), ends - begins, tune, chance)
        for offset, level in enumerate(rung):
            mixed[begins + offset] += level
    loudest = max(map(abs, mixed))
    return array("h", (int(32767 * LOUDEST * level / loudest) for level in mixed))


def ringing(pitch: float, length: int, tune: Row, chance: random.Random) -> list[float]:
    """A plucked string: noise that runs round a loop as long as one wave, and loses its edge each time.

    Source: Karplus and Strong, Digital Synthesis of Plucked-String and Drum Timbres, Computer Music Journal 7 (1983).
    """
    loop = [chance.uniform(-1, 1) for _ in range(max(round(RATE / pitch), 2))]
    for place in range(1, len(loop)):
        loop[place] = tune["bright"] * loop[place] + (1 - tune["bright"]) * loop[place - 1]
    ring, size, rung = tune["ring"], len(loop), []
    for step in range(length):
        place = step % size
        level = loop[place]
        rung.append(level)
        loop[place] = ring * 0.5 * (level + loop[(place + 1) % size])
    return rung


def film(tune: Row) -> bytes:
    """The tune with its strings as they swing, as WebM."""
    heard, as_frame = played(tune), cast(Any, av.VideoFrame.from_image)
    out = io.BytesIO()
    with av.open(out, "w", format="webm") as file:
        seen: Any = file.add_stream("libvpx", rate=PICTURES_EACH_SECOND, options=QUICK)
        seen.width, seen.height, seen.pix_fmt = *SIZE, "yuv420p"
        spoken: Any = file.add_stream("libopus", rate=FILM_RATE, layout="mono")
        for place in range(len(heard) * PICTURES_EACH_SECOND // RATE):
            frame: Any = as_frame(_picture(tune, place / PICTURES_EACH_SECOND))
            frame.pts, frame.time_base = place, Fraction(1, PICTURES_EACH_SECOND)
            file.mux(seen.encode(frame))
        file.mux(seen.encode(None))
        whole = av.AudioFrame(format="s16", layout="mono", samples=len(heard))
        whole.sample_rate, whole.pts, whole.time_base = RATE, 0, Fraction(1, RATE)
        whole.planes[0].update(heard.tobytes())
        fitted = av.AudioResampler("s16", "mono", FILM_RATE, frame_size=spoken.frame_size)
        for piece in [*fitted.resample(whole), *fitted.resample(None)]:
            file.mux(spoken.encode(piece))
        file.mux(spoken.encode(None))
    return out.getvalue()


def _picture(tune: Row, second: float) -> Image.Image:
    """The strings over the sound hole; each swings as widely as it was plucked lately."""
    picture = Image.new("RGB", SIZE, WOOD)
    draw = ImageDraw.Draw(picture)
    middle = SIZE[1] // 2
    draw.ellipse((SIZE[0] // 2 - 96, middle - 96, SIZE[0] // 2 + 96, middle + 96), fill=SHADE, outline=STRING)
    strings = len(tune["strings"])
    for string in range(strings):
        height = middle + (string - (strings - 1) / 2) * 34
        swing = 9 * _since_plucked(tune, string, second) * math.cos(second * 40 + string)
        points = [
            (place, height + swing * math.sin(math.pi * place / SIZE[0]))
            for place in range(0, SIZE[0] + 1, 16)
        ]
        draw.line(points, fill=STRING, width=3)
    return picture


def _since_plucked(tune: Row, string: int, second: float) -> float:
    """1 when the string is plucked, then less and less."""
    times = [place * tune["step"] for place, (one, _) in enumerate(tune["plucks"]) if one == string]
    last = max((time for time in times if time <= second), default=None)
    return 0.0 if last is None else math.exp(-2.5 * (second - last))
