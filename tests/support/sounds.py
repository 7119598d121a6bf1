"""Small sound and film files, made on the spot: a tone, and a film of one colour after the other."""

import io
import math
import struct
import wave
from array import array
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

import av
from PIL import Image

TAGS = {
    "title": "CNRYTITLE",
    "artist": "CNRYARTIST",
    "comment": "CNRYCOMMENT",
    "make": "CNRYMAKE",
    "location": "+40.0000-074.0000/CNRYPLACE",
}
# Container, coding and rate of each kind of file that is taken.
SOUNDS = {
    "flac": ("flac", "flac", 22050),
    "mp3": ("mp3", "libmp3lame", 44100),
    "m4a": ("ipod", "aac", 44100),
    "webm": ("webm", "libopus", 48000),
    "vorbis.webm": ("webm", "vorbis", 48000),
    "ogg": ("ogg", "libopus", 48000),
    "alac.m4a": ("ipod", "alac", 44100),
}
FILMS = {
    "mp4": ("mp4", "libx264", "aac", 44100),
    "mov": ("mov", "libx264", "aac", 44100),
    "webm": ("webm", "libvpx", "libopus", 48000),
    "silent.mp4": ("mp4", "libx264", "", 0),
    "mpeg4.mp4": ("mp4", "mpeg4", "aac", 44100),
    "matroska.mkv": ("matroska", "libx264", "aac", 44100),
}
SIZE = (64, 36)
PICTURES_EACH_SECOND = 10


def samples(seconds: float, rate: int, loudness: Iterable[float] = (0.5,)) -> "array[int]":
    """A tone of 440 Hz; `loudness` (0 to 1) of each of its even stretches, one after the other."""
    steps = list(loudness)
    count = round(seconds * rate)
    return array(
        "h",
        (
            int(32767 * steps[place * len(steps) // count] * math.sin(2 * math.pi * 440 * place / rate))
            for place in range(count)
        ),
    )


def wav(seconds: float = 0.5, rate: int = 8000, loudness: Iterable[float] = (0.5,)) -> bytes:
    """A WAV file, 16 bits, one channel."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples(seconds, rate, loudness).tobytes())
    return out.getvalue()


def wav_with_tags() -> bytes:
    """A WAV file with a LIST chunk of INFO and one of a recorder's own (bext)."""
    plain = wav()
    info = b"INFO" + _chunk(b"IART", b"CNRYARTIST\0\0") + _chunk(b"ICMT", b"CNRYCOMMENT\0")
    body = plain[8:] + _chunk(b"LIST", info) + _chunk(b"bext", b"CNRYRECORDER".ljust(602, b"\0"))
    return b"RIFF" + struct.pack("<I", len(body)) + body


def _chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)


def sound(name: str, seconds: float = 1.0, tags: dict[str, str] | None = None) -> bytes:
    """A sound file of one of the kinds in SOUNDS."""
    form, coding, rate = SOUNDS[name]
    out = io.BytesIO()
    with av.open(out, "w", format=form) as file:
        file.metadata.update(tags or {})
        _write_sound(file, _sound_line(file, coding, rate), seconds, rate)
    return out.getvalue()


def film(
    name: str,
    seconds: int = 1,
    tags: dict[str, str] | None = None,
    codings: dict[str, str] | None = None,
    shape: Fraction = Fraction(1),
) -> bytes:
    """A film of one of the kinds in FILMS."""
    form, seen, heard, rate = FILMS[name]
    out = io.BytesIO()
    with av.open(out, "w", format=form) as file:
        file.metadata.update(tags or {})
        line: Any = file.add_stream(seen, rate=PICTURES_EACH_SECOND, options=codings or {})
        line.width, line.height, line.pix_fmt = *SIZE, "yuv420p"
        line.codec_context.sample_aspect_ratio = shape
        beside = _sound_line(file, heard, rate) if heard else None
        for place in range(seconds * PICTURES_EACH_SECOND):
            shade = 255 * place // (seconds * PICTURES_EACH_SECOND)
            frame = av.VideoFrame.from_image(Image.new("RGB", SIZE, (shade, 90, 60)))
            frame.pts, frame.time_base = place, Fraction(1, PICTURES_EACH_SECOND)
            file.mux(line.encode(frame))
        file.mux(line.encode(None))
        if beside is not None:
            _write_sound(file, beside, seconds, rate)
    return out.getvalue()


def _sound_line(file: Any, coding: str, rate: int) -> Any:
    unusual = coding == "vorbis"
    options = {"strict": "-2"} if unusual else {}
    return file.add_stream(coding, rate=rate, layout="stereo" if unusual else "mono", options=options)


def _write_sound(file: Any, line: Any, seconds: float, rate: int) -> None:
    frame = av.AudioFrame(format="s16", layout="mono", samples=round(seconds * rate))
    frame.sample_rate, frame.pts, frame.time_base = rate, 0, Fraction(1, rate)
    frame.planes[0].update(samples(seconds, rate).tobytes())
    fitted = av.AudioResampler(
        format=line.format.name, layout=line.layout.name, rate=rate, frame_size=line.frame_size or 1024
    )
    for piece in [*fitted.resample(frame), *fitted.resample(None)]:
        file.mux(line.encode(piece))
    file.mux(line.encode(None))


def tags_in(content: bytes, name: str = "") -> dict[str, str]:
    """What a reader of tags finds in a file: of the whole and of every track."""
    with av.open(io.BytesIO(content)) as file:
        found = dict(file.metadata)
        for stream in file.streams:
            found |= stream.metadata
    return found
