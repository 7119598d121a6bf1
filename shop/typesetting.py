"""Typeset a paper as PDF, tagged for screen readers, and keep what was made."""

import hashlib
import os
import tempfile
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from importlib.metadata import version
from pathlib import Path
from typing import Any

import typst
from django.conf import settings

TEMPLATES = settings.BASE_DIR / "templates" / "papers"

BOX = "□"
LATIN, PICTURES = "\u00ff", "\U0001f000"
OTHER_SCRIPTS = {"CJK", "HANGUL", "HIRAGANA", "KATAKANA", "FULLWIDTH", "HALFWIDTH"}
ALONE = ("LATIN ", "GREEK ", "CYRILLIC ")
NOT_SHOWN = "could not be displayed"  # as the typesetter says it
MOST_QUESTIONS = 40  # that the typesetter is asked for one paper, of some ten milliseconds each
TRIAL = b"""#set document(title: "Trial")
#set text(font: "Libertinus Serif")
#sys.inputs.data"""
# Whether a sign can be shown, of those that were asked for.
_shown: dict[str, bool] = {}


def pdf(template: Path, data: str, *, pictures: Path = TEMPLATES) -> bytes:
    """Typeset `template` with `data` (JSON) as its only input: tagged for screen readers, the same bytes every time.

    A picture is named by its path below `pictures`; no other file can be read. Raises typst.TypstError when a
    picture has no words for who cannot see it. A sign that no typeface here has stands as an empty box.
    """
    source, boxed = template.read_bytes(), with_boxes(data)
    try:
        return _set(source, **_inputs(boxed, pictures))
    except typst.TypstError as error:
        if NOT_SHOWN not in str(error):
            raise
    # Signs that can be shown each by itself may not be together, such as a letter with a mark of another script.
    return _set(source, **_inputs("".join(map(_alone, boxed)), pictures))


def _alone(sign: str) -> str:
    """A sign that stands by itself in any company; a box for others, and nothing for marks set upon a letter."""
    category = unicodedata.category(sign)
    if sign <= LATIN or category[0] in "PSZ":
        return sign
    if category[0] == "M":
        return ""
    return sign if unicodedata.name(sign, "").startswith(ALONE) else BOX


def with_boxes(text: str) -> str:
    """The text with an empty box for each sign that no typeface here has: PDF/UA allows no sign that is not shown."""
    lacking = lacking_in(text)
    return text.translate(dict.fromkeys(map(ord, lacking), BOX)) if lacking else text


def lacking_in(text: str) -> set[str]:
    """The signs of a text that no typeface here has, as far as the typesetter can be asked in reasonable time.

    What was not asked counts as lacking, so that a text of a thousand odd signs takes no longer than one of ten.
    """
    signs = {sign for sign in text if sign > LATIN}
    by_script: dict[str, list[str]] = {}
    for sign in sorted(signs - _shown.keys()):
        script = unicodedata.name(sign, "").partition(" ")[0]
        if not script or sign >= PICTURES or script in OTHER_SCRIPTS:
            _shown[sign] = False
        else:
            by_script.setdefault(script, []).append(sign)
    questions = iter(range(MOST_QUESTIONS))
    for some in by_script.values():
        _ask(some, questions)
    return {sign for sign in signs if not _shown.get(sign)}


def _ask(signs: list[str], questions: Iterator[int]) -> None:
    """Find out which of them the typesetter can show: all at once, then by halves."""
    if next(questions, None) is None:
        return
    try:
        _set(TRIAL, sys_inputs={"data": " ".join(signs)}, ignore_system_fonts=True)
    except typst.TypstError:
        if len(signs) == 1:
            _shown[signs[0]] = False
            return
        middle = len(signs) // 2
        _ask(signs[:middle], questions)
        _ask(signs[middle:], questions)
    else:
        _shown.update(dict.fromkeys(signs, True))


def _set(source: bytes, **inputs: Any) -> bytes:
    return bytes(typst.compile(source, format="pdf", pdf_standards=["ua-1"], **inputs))


def page_count(template: Path, data: str, *, pictures: Path = TEMPLATES) -> int:
    """How many pages `pdf` would give; the template tells it in metadata labelled <pages>."""
    told = typst.query(template.read_bytes(), "<pages>", field="value", one=True, **_inputs(data, pictures))
    return int(told)


def _inputs(data: str, pictures: Path) -> dict[str, Any]:
    return {"root": str(pictures), "sys_inputs": {"data": data}, "ignore_system_fonts": True}


def fingerprint(template: Path, data: str) -> str:
    """A hash of all that goes into a paper, so that a file named by it never stands for other words."""
    whole = data.encode() + template.read_bytes() + version("typst").encode()
    return hashlib.sha256(whole).hexdigest()[:16]


def write_once(path: Path, made: bytes) -> None:
    """Write beside, then move into place: a reader finds the whole file or none."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(made)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).replace(path)
    finally:
        Path(beside).unlink(missing_ok=True)


def write_new(path: Path, made: bytes) -> None:
    """Write beside, then put into place unless a file of that name is there: what was kept is never written over.

    Whatever was left beside it by a process that was killed is cleared away.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f"{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(made)
            file.flush()
            os.fsync(file.fileno())
        with suppress(FileExistsError):
            os.link(beside, path)
    except FileNotFoundError:
        if not path.exists():  # another that was done first cleared ours away
            raise
    finally:
        for left in path.parent.glob(f"{path.name}.*.part"):
            left.unlink(missing_ok=True)
