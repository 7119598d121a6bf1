"""What is made of a recording: a copy to be played that carries no tags, its length, its waveform, a poster.

The copy holds the same coded sound and film, packet for packet: nothing is coded anew, and nothing else is taken over,
so no name, place, device, cover or further track of the file as received can reach the public.
"""

import tempfile
from array import array
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import av
from av.bitstream import BitStreamFilterContext
from django.conf import settings

from catalog.pictures.prints import CAREFUL, encoded
from catalog.recordings.containers import (
    MP3,
    Container,
    coded_as,
    container_of,
    film_in,
    opened,
    sound_in,
)
from catalog.recordings.rules import waveform
from catalog.recordings.tags import without_comments

if TYPE_CHECKING:
    from av.container import InputContainer
    from av.stream import Stream
    from PIL.Image import Image

# Fewer samples than any sound has are enough to draw it; ten milliseconds are one level.
DRAWN_RATE = 8000
LEVEL_SAMPLES = 80
LONGEST_MISSING = Fraction(1, 2)  # seconds by which a whole file may be shorter than it says
WIDEST_POSTER = 1280
POSTER_SUFFIXES = ("avif", "webp", "jpg")
# No name of the writing program, no tag of any version; what a player needs first stands first.
WRITER: dict[str, dict[str, str]] = {
    "wav": {},
    "flac": {},
    "mp3": {"id3v2_version": "0", "write_id3v1": "0"},
    "mp4": {"movflags": "+faststart"},
    "webm": {"cues_to_front": "1"},
}


class Damaged(Exception):
    """The file cannot be played to its end."""


@dataclass(frozen=True)
class Made:
    """What was made: length in seconds to the millisecond, waveform, and of a film its size in pixels as it is seen."""

    seconds: Decimal
    peaks: list[int]
    width: int | None = None
    height: int | None = None


@dataclass
class Heard:
    """Sound as it was decoded: its length, and the loudest of every ten milliseconds."""

    seconds: Fraction = Fraction(0)
    levels: list[int] = field(default_factory=list)


def played_path(token: str, suffix: str) -> Path:
    """Where the copy to be played lies."""
    return Path(settings.PLAYED_DIR) / token[:2] / f"{token}.{suffix}"


def poster_path(token: str, suffix: str) -> Path:
    """Where the frame that stands for a film lies."""
    return Path(settings.PLAYED_DIR) / token[:2] / f"{token}-poster.{suffix}"


def make(original: Path, token: str, suffix: str) -> Made:
    """Play the original once to its end, and write all that is served, the copy with the ending `suffix`.

    Raises Damaged when it cannot be played. Each file is written beside its place and moved there, so making them
    again is harmless.
    """
    container = container_of(original)
    if container is None:
        raise Damaged
    try:
        return _made(original, container, token, suffix)
    except (av.error.FFmpegError, ValueError, EOFError) as error:
        if isinstance(error, FileNotFoundError):
            raise
        raise Damaged from error


def _made(original: Path, container: Container, token: str, suffix: str) -> Made:
    heard = _listen(original, container)
    lasts, told = _copy(original, container, played_path(token, suffix), heard)
    peaks = waveform(heard.levels)
    with opened(original, container) as given:
        film = film_in(given)
        # MP4 tells which part of its last packet is played; elsewhere the decoded sound tells it.
        exact = told if container.reader == "mov" and told else Fraction(0)
        if film is None:
            return Made(_to_milliseconds(exact or heard.seconds), peaks)
        poster = _frame(given, film, at=lasts / 10)
    for suffix in POSTER_SUFFIXES:
        with _beside(poster_path(token, suffix)) as place:
            place.write_bytes(encoded(_narrowed(poster), CAREFUL[suffix]))
    return Made(_to_milliseconds(exact or lasts), peaks, poster.width, poster.height)


def _to_milliseconds(seconds: Fraction) -> Decimal:
    return max(Decimal(round(seconds * 1000)), Decimal(1)) / 1000


def _copy(original: Path, container: Container, target: Path, heard: Heard) -> tuple[Fraction, Fraction]:
    """Write the copy; how long its packets last, and how long the file says that it is (0 when it does not).

    Raises Damaged, and leaves no copy, when it ends long before it should. MP3 says nothing reliable of its length.
    """
    options = WRITER[container.writer] | {"fflags": "+bitexact"}
    lasts = Fraction(0)
    with opened(original, container) as given, _beside(target) as place:
        told = Fraction(given.duration or 0, av.time_base)
        with av.open(str(place), "w", format=container.writer, container_options=options) as copy:
            lines = [_Line(stream, copy) for stream in (film_in(given), sound_in(given)) if stream]
            by_index = {line.stream.index: line for line in lines}
            for packet in given.demux([line.stream for line in lines]):
                line = by_index[packet.stream_index]
                lasts = max(lasts, line.pass_on(packet))
        ends = max(lasts, heard.seconds)
        if not ends or (container is not MP3 and told - ends > LONGEST_MISSING):
            raise Damaged
    return lasts, told


class _Line:
    """One track from the file as received into the copy."""

    def __init__(self, stream: "Stream", copy: Any) -> None:
        self.stream, self.copy = stream, copy
        self.written = copy.add_stream_from_template(stream)
        # A camera may put its place and name between the pictures, as supplementary information (unit type 6).
        # Source: ITU-T H.264, table 7-1 and annex D.
        named = coded_as(stream) == "h264"
        self.without = BitStreamFilterContext("filter_units=remove_types=6", stream) if named else None
        if coded_as(stream) == "vorbis":
            self.written.codec_context.extradata = without_comments(stream.codec_context.extradata or b"")
        self.begins: Fraction | None = None

    def pass_on(self, packet: Any) -> Fraction:
        """Write the packet; the instant at which it ends, in seconds from the first one's beginning."""
        if packet.dts is None:
            return Fraction(0)
        begin: Fraction = (packet.pts if packet.pts is not None else packet.dts) * packet.time_base
        if self.begins is None:
            self.begins = begin
        end: Fraction = begin + (packet.duration or 0) * packet.time_base - self.begins
        for cleaned in self.without.filter(packet) if self.without else [packet]:
            cleaned.stream = self.written
            self.copy.mux(cleaned)
        return end


def _listen(original: Path, container: Container) -> Heard:
    """Decode the sound to its end; a packet that cannot be decoded counts as silence."""
    heard = Heard()
    with opened(original, container) as given:
        stream = sound_in(given)
        if stream is None:
            return heard
        drawn = av.AudioResampler(format="s16", layout="mono", rate=DRAWN_RATE)
        left = array("h")
        for frame in _frames(given, stream):
            heard.seconds += Fraction(frame.samples, frame.sample_rate)
            for thin in drawn.resample(frame):
                left.frombytes(bytes(thin.planes[0])[: thin.samples * 2])
            left = _levels(left, heard.levels)
        if left:
            heard.levels.append(max(max(left), -min(left)))
    return heard


def _frames(given: "InputContainer", stream: "Stream") -> Iterator[Any]:
    for packet in given.demux(stream):
        try:
            yield from packet.decode()
        except av.error.InvalidDataError:
            continue


def _levels(samples: "array[int]", levels: list[int]) -> "array[int]":
    """Add the level of every full ten milliseconds; what is left over."""
    whole = len(samples) // LEVEL_SAMPLES * LEVEL_SAMPLES
    for first in range(0, whole, LEVEL_SAMPLES):
        stretch = samples[first : first + LEVEL_SAMPLES]
        levels.append(max(max(stretch), -min(stretch)))
    return samples[whole:]


def _frame(given: "InputContainer", film: "Stream", *, at: Fraction) -> "Image":
    """The picture at that second, or the one before it that can be shown by itself, upright."""
    given.seek(int(at * av.time_base), backward=True)
    for frame in given.decode(film):
        return _upright(frame, getattr(film, "sample_aspect_ratio", None))
    raise Damaged


def _upright(frame: Any, shape: Fraction | None) -> "Image":
    """The frame as it is seen: `shape` is how wide a point of it is for its height, 1 where it is square."""
    picture: Image = frame.to_image()
    if shape and shape != 1:
        picture = picture.resize((max(round(picture.width * shape), 1), picture.height))
    return picture.rotate(frame.rotation, expand=True) if frame.rotation else picture


def _narrowed(picture: "Image") -> "Image":
    if picture.width <= WIDEST_POSTER:
        return picture
    return picture.resize((WIDEST_POSTER, max(round(picture.height * WIDEST_POSTER / picture.width), 1)))


@contextmanager
def _beside(place: Path) -> Iterator[Path]:
    """A path beside `place`; what was written there is moved into place when all went well."""
    place.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=place.parent, prefix="making-") as folder:
        beside = Path(folder) / place.name
        yield beside
        beside.replace(place)
