"""What a file of sound or film really is, known by its first bytes and by what lies in it, never by its name."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import av

if TYPE_CHECKING:
    from av.container import InputContainer
    from av.stream import Stream

HEAD_BYTES = 64
UNTOLD = 0xFFFFFFFF
PCM = frozenset({"pcm_u8", "pcm_s16le", "pcm_s24le", "pcm_s32le", "pcm_f32le"})
MPEG_SOUND = frozenset({"aac", "mp3", "opus", "flac"})
MPEG_FILM = frozenset({"h264", "vp9", "av1"})
FROM_TYPES = {  # the end of a served copy, for sound and for film
    "wav": ("audio/wav", ""),
    "flac": ("audio/flac", ""),
    "mp3": ("audio/mpeg", ""),
    "m4a": ("audio/mp4", ""),
    "mp4": ("audio/mp4", "video/mp4"),
    "webm": ("audio/webm", "video/webm"),
}


@dataclass(frozen=True)
class Container:
    """One form a file may have: its ending, who reads and who writes it, and what browsers play of what is in it."""

    suffix: str
    reader: str
    writer: str
    sound: frozenset[str]
    film: frozenset[str] = frozenset()


WAV = Container("wav", "wav", "wav", PCM)
FLAC = Container("flac", "flac", "flac", frozenset({"flac"}))
MP3 = Container("mp3", "mp3", "mp3", frozenset({"mp3"}))
MP4 = Container("mp4", "mov", "mp4", MPEG_SOUND, MPEG_FILM)
MOV = Container("mov", "mov", "mp4", MPEG_SOUND, MPEG_FILM)
WEBM = Container("webm", "matroska", "webm", frozenset({"opus", "vorbis"}), frozenset({"vp8", "vp9", "av1"}))


def media_type(suffix: str, *, film: bool) -> str:
    """The media type of a served copy with that ending."""
    return FROM_TYPES[suffix][film]


def container_of(file: Path) -> Container | None:
    """What the first bytes say the file is; None for anything that is not taken."""
    with file.open("rb") as stream:
        head = stream.read(HEAD_BYTES)
        if head.startswith(b"ID3") and len(head) >= 10:
            stream.seek(_behind_tag(head))
            return FLAC if stream.read(4) == b"fLaC" else MP3
    return _by_head(head)


def _by_head(head: bytes) -> Container | None:
    if head.startswith(b"RIFF") and head[8:12] == b"WAVE":
        return WAV
    if head.startswith(b"fLaC"):
        return FLAC
    if head[4:8] == b"ftyp":
        return MOV if head[8:12] == b"qt  " else MP4
    if head.startswith(b"\x1a\x45\xdf\xa3") and b"webm" in head:
        return WEBM
    # MPEG audio: eleven bits set, then version and layer III. Source: ISO/IEC 11172-3, 2.4.1.3, from memory.
    if len(head) > 1 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0 and head[1] >> 1 & 3 == 1:
        return MP3
    return None


def _behind_tag(head: bytes) -> int:
    """Where an ID3v2 tag ends: its size is kept in four bytes of seven bits. Source: ID3v2.4.0, section 3.1."""
    size = 0
    for byte in head[6:10]:
        size = size << 7 | byte & 0x7F
    return size + 10


def is_cut_short(file: Path, found: Container) -> bool:
    """Whether a WAV file says that it is longer than it is; the others are found out when they are played.

    One that was written as it came down a pipe says nothing of its length. Source: Multimedia Programming Interface
    and Data Specifications 1.0 (IBM and Microsoft, 1991), RIFF chunk, from memory.
    """
    if found is not WAV:
        return False
    with file.open("rb") as stream:
        told = int.from_bytes(stream.read(8)[4:], "little")
    return told != UNTOLD and told + 8 > file.stat().st_size


def opened(file: Path, found: Container) -> "InputContainer":
    """Open the file as that container and no other: nothing in it may lead to another file or address.

    Raises av.error.FFmpegError when it cannot be read.
    """
    return av.open(
        str(file), format=found.reader, options={"protocol_whitelist": "file"}, metadata_errors="replace"
    )


def film_in(given: "InputContainer") -> "Stream | None":
    """The moving pictures, if there are any: a cover printed on a sound file is none."""
    moving = (one for one in given.streams.video if not one.disposition & av.stream.Disposition.attached_pic)
    return next(moving, None)


def sound_in(given: "InputContainer") -> "Stream | None":
    """The sound, if there is any; the first where there are several."""
    return next(iter(given.streams.audio), None)


def coded_as(stream: "Stream") -> str:
    """The name of the coding, such as aac or h264; "unknown" when there is nobody who reads it."""
    return str(stream.codec_context.codec.canonical_name) if stream.codec_context else "unknown"
