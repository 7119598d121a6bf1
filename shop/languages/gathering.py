"""Every message of the public side, gathered from where it is said: the code, the templates, the sheets that we ship.

A message in the code stands as a plain text in a call of `gettext` and its kin (`shop/wording.py`), never put together
there: what is made at run time cannot be found here.
"""

import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from babel.messages.extract import extract_python
from django.conf import settings
from django.utils.translation import templatize

ROOMS = ("shop", "catalog", "inquiries")
PASSED_BY = {"migrations", "management"}
SHEETS = Path("catalog/instruments/sheets.json")
SPOKEN_IN_SHEETS = {"name", "plural", "choices"}
# What calls a message: an n for one and many, a p for a context that comes first.
CALLS = (
    "_", "gettext", "gettext_lazy", "gettext_noop", "ngettext", "ngettext_lazy",
    "pgettext", "pgettext_lazy", "npgettext", "npgettext_lazy",
)  # fmt: skip
KEYWORDS = dict.fromkeys(CALLS)  # what stands at which place is told from the name of the call


class Said(NamedTuple):
    """One message where it is said: in English, as one or as one and many, and the context that tells it apart."""

    one: str
    many: str
    context: str
    where: str

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from every other."""
        return self.one, self.context


def gather() -> dict[tuple[str, str], list[Said]]:
    """Every message with each place where it is said, in the order of the files."""
    found: dict[tuple[str, str], list[Said]] = {}
    for said in (*_of_code(), *_of_templates(), *_of_sheets()):
        found.setdefault(said.key, []).append(said)
    return found


def _of_code() -> Iterator[Said]:
    for room in ROOMS:
        for path in sorted((settings.BASE_DIR / room).rglob("*.py")):
            if not PASSED_BY & set(path.parts):
                yield from _in_code(path.read_text(encoding="utf-8"), path)


def _of_templates() -> Iterator[Said]:
    for path in sorted((settings.BASE_DIR / "templates").rglob("*")):
        if path.suffix in {".html", ".xml", ".txt"}:
            code = templatize(path.read_text(encoding="utf-8"), origin=str(path))
            # Each line stands for one of the template, and its indent says nothing.
            yield from _in_code("\n".join(line.strip() for line in code.splitlines()), path)


def _in_code(code: str, path: Path) -> Iterator[Said]:
    where = path.relative_to(settings.BASE_DIR).as_posix()
    for _line, call, texts, _notes in extract_python(io.BytesIO(code.encode()), KEYWORDS, (), {}):
        written = [texts] if isinstance(texts, str) else [text or "" for text in texts or ()]
        if said := _said(str(call), written, where):
            yield said


def _said(call: str, texts: list[str], where: str) -> Said | None:
    """The message of one call; None where it is not written there (a name that is passed through)."""
    context, *texts = [*texts, ""] if "pgettext" in call else ["", *texts]
    one, many = [*texts, "", ""][:2]
    return Said(one, many if call.startswith("n") else "", context, where) if one else None


def _of_sheets() -> Iterator[Said]:
    whole = json.loads((settings.BASE_DIR / SHEETS).read_text(encoding="utf-8"))
    yield from (Said(name, "", "", SHEETS.as_posix()) for name in _names_in(whole))


def _names_in(part: object, spoken: bool = False) -> Iterator[str]:
    """Names and choices, however deep they lie."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield from _names_in(value, key in SPOKEN_IN_SHEETS)
    elif isinstance(part, list):
        for value in part:
            yield from _names_in(value, spoken)
    elif spoken and isinstance(part, str):
        yield part
