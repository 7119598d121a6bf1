"""Captions and chapters as WebVTT: read, refused with the line that is wrong, written.

Source: W3C, WebVTT: The Web Video Text Tracks Format, Candidate Recommendation of 4 April 2019, section 4. What a
browser would skip in silence is refused here with its line, so that the dealer can mend it.
"""

import html
import re
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

HEADER = "WEBVTT"
TIME = r"(?:([0-9]{2,}):)?([0-5][0-9]):([0-5][0-9])\.([0-9]{3})"
TIMING = re.compile(rf"{TIME}[ \t]+-->[ \t]+{TIME}(?:[ \t]+(.*))?")
SETTING = re.compile(r"(?:vertical|line|position|size|align|region):\S+")
TYPED_TIME = re.compile(r"(?:([0-9]+):)?([0-9]{1,2}):([0-5][0-9])(?:\.([0-9]{1,3}))?[ \t]+(\S.*)")
TAGS = re.compile(r"<[^>]*>")


class NotVtt(Exception):
    """The text cannot be read; `message` is a sentence for the person who typed it."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class Cue(NamedTuple):
    """What is shown from one instant to another, in milliseconds."""

    begins: int
    ends: int
    text: str

    @property
    def words(self) -> str:
        """Its text without markup, on one line."""
        return " ".join(html.unescape(TAGS.sub("", self.text)).split())


def read(text: str) -> list[Cue]:
    """The cues of a WebVTT text. Raises NotVtt, naming the line."""
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if not re.fullmatch(rf"{HEADER}(?:[ \t].*)?", lines[0]):
        raise NotVtt("WebVTT begins with a line that says WEBVTT.")
    cues: list[Cue] = []
    for first, block in _blocks(lines):
        if re.match(r"NOTE(?:[ \t]|$)", block[0]):
            continue
        if re.fullmatch(r"(?:STYLE|REGION)[ \t]*", block[0]):
            raise NotVtt(f"Line {first}: styles and regions are not taken. Leave that block out.")
        cues.append(_cue(first, block, cues[-1:]))
    return cues


def _blocks(lines: Sequence[str]) -> Iterable[tuple[int, list[str]]]:
    """Lines that stand together, with the number of the first; what stands right below the header is refused."""
    if len(lines) > 1 and lines[1].strip():
        raise NotVtt("Line 2: leave a line empty below WEBVTT.")
    block: list[str] = []
    for number, line in enumerate([*lines[1:], ""], start=2):
        if line.strip():
            block.append(line)
        elif block:
            yield number - len(block), block
            block = []


def _cue(first: int, block: list[str], before: list[Cue]) -> Cue:
    named = "-->" not in block[0]
    if named and (len(block) < 2 or "-->" not in block[1]):
        raise NotVtt(f"Line {first}: here a time was awaited, such as 00:05.000 --> 00:09.500.")
    place = first + named
    begins, ends = _times(place, block[named].strip())
    if ends <= begins:
        raise NotVtt(f"Line {place}: it ends before it has begun.")
    if before and begins < before[0].begins:
        raise NotVtt(f"Line {place}: it begins before the one above it. Put them in order of time.")
    text = "\n".join(block[named + 1 :])
    if not text.strip():
        raise NotVtt(f"Line {place}: no words stand below this time.")
    if "-->" in text:
        raise NotVtt(f"Line {place + 1}: leave a line empty above each time.")
    return Cue(begins, ends, text)


def _times(place: int, line: str) -> tuple[int, int]:
    found = TIMING.fullmatch(line)
    if found is None:
        raise NotVtt(
            f"Line {place}: “{line}” is no time. Write 00:05.000 --> 00:09.500, with points and arrow."
        )
    if any(not SETTING.fullmatch(one) for one in (found[9] or "").split()):
        raise NotVtt(f"Line {place}: “{found[9]}” behind the time cannot be read. Leave it out.")
    return _milliseconds(*found.groups()[:4]), _milliseconds(*found.groups()[4:8])


def _milliseconds(hours: str | None, minutes: str, seconds: str, rest: str | None) -> int:
    whole = (int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)
    return whole * 1000 + int((rest or "").ljust(3, "0"))


def written(cues: Iterable[Cue]) -> str:
    """Cues as a WebVTT text."""
    blocks = [f"{stamp(cue.begins)} --> {stamp(cue.ends)}\n{cue.text}" for cue in cues]
    return "\n\n".join([HEADER, *blocks]) + "\n"


def stamp(milliseconds: int) -> str:
    """An instant as WebVTT writes it: 00:01:02.500."""
    seconds, rest = divmod(milliseconds, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.{rest:03}"


def clock(milliseconds: int) -> str:
    """An instant as people write it: 1:02, 1:04:30; with its thousandths only where it has some: 1:02.500."""
    seconds, rest = divmod(milliseconds, 1000)
    hours, minutes = divmod(seconds // 60, 60)
    told = f"{hours}:{minutes:02}" if hours else f"{minutes}"
    return f"{told}:{seconds % 60:02}" + (f".{rest:03}" if rest else "")


def read_chapters(text: str, lasts: int) -> list[Cue]:
    """Chapters, from WebVTT or from lines such as “0:14 Condition”, each until the next. Raises NotVtt."""
    if text.removeprefix("\ufeff").startswith(HEADER) or "-->" in text:
        cues = read(text)
    else:
        cues = _from_lines(text, lasts)
    _refuse_overlong(cues, lasts)
    for one, following in pairwise(cues):
        if following.begins < one.ends:
            raise NotVtt(f"“{following.words}” begins before “{one.words}” has ended.")
    return cues


def read_captions(text: str, lasts: int) -> list[Cue]:
    """Captions, from WebVTT. Raises NotVtt."""
    cues = read(text)
    _refuse_overlong(cues, lasts)
    return cues


def _refuse_overlong(cues: Iterable[Cue], lasts: int) -> None:
    for cue in cues:
        if cue.begins >= lasts:
            raise NotVtt(f"“{cue.words}” begins at {clock(cue.begins)}, and by then the recording has ended.")


def _from_lines(text: str, lasts: int) -> list[Cue]:
    begun: list[tuple[int, str]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        found = TYPED_TIME.fullmatch(line.strip())
        if found is None:
            raise NotVtt(f"Line {number}: write the time and then the title, such as 0:14 Condition.")
        at = _milliseconds(found[1], found[2], found[3], found[4])
        if begun and at <= begun[-1][0]:
            raise NotVtt(f"Line {number}: it begins before the one above it. Put them in order of time.")
        begun.append((at, html.escape(found[5].strip(), quote=False)))
    ends = [at for at, _ in begun[1:]] + [max([lasts, *(at + 1 for at, _ in begun[-1:])])]
    return [Cue(at, end, title) for (at, title), end in zip(begun, ends, strict=True)] if begun else []


def as_lines(cues: Sequence[Cue], lasts: int) -> str | None:
    """Chapters as lines to be typed on; None where lines could not say the same."""
    text = "\n".join(f"{clock(cue.begins)} {cue.words}" for cue in cues)
    try:
        return text if read_chapters(text, lasts) == list(cues) else None
    except NotVtt:
        return None
