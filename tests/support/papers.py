"""Read a PDF as a stranger would: its words, its facts, its tags."""

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject


@dataclass(frozen=True)
class Tag:
    """One element of the structure tree: what it is, its words for who cannot see it, what it scopes."""

    name: str
    alt: str
    scope: str


class Paper:
    """A PDF, read."""

    def __init__(self, made: bytes) -> None:
        self.reader = PdfReader(io.BytesIO(made), strict=True)
        self.root: Any = self.reader.trailer["/Root"]

    @property
    def pages(self) -> int:
        """How many."""
        return len(self.reader.pages)

    @property
    def text(self) -> str:
        """All words in their order, with one space between two."""
        return " ".join(" ".join(page.extract_text() for page in self.reader.pages).split())

    @property
    def tagged(self) -> bool:
        """Whether it says that its tags can be relied on."""
        return bool(self.root["/MarkInfo"]["/Marked"].value)

    @property
    def language(self) -> str:
        """The language it is in."""
        return str(self.root.get("/Lang", ""))

    @property
    def title(self) -> str:
        """The document's title."""
        return str(self.reader.metadata.title) if self.reader.metadata else ""

    @property
    def tags(self) -> list[Tag]:
        """Every element of the structure tree, in reading order."""
        return list(_below(self.root["/StructTreeRoot"].get("/K")))

    @property
    def strings(self) -> list[str]:
        """Every piece of text in any object that is not a page's own content: titles, words for pictures, notes."""
        found: list[str] = []
        for number in range(1, int(self.reader.trailer["/Size"])):
            _strings(self.reader.get_object(number), found)
        return found


def _below(kids: Any) -> Iterator[Tag]:
    kids = kids.get_object() if isinstance(kids, IndirectObject) else kids
    for kid in kids if isinstance(kids, ArrayObject) else [kids]:
        element = kid.get_object()
        if isinstance(element, DictionaryObject) and "/S" in element:
            yield Tag(str(element["/S"])[1:], str(element.get("/Alt", "")), _scope(element.get("/A")))
            yield from _below(element["/K"]) if "/K" in element else ()


def _scope(attributes: Any) -> str:
    attributes = attributes.get_object() if attributes is not None else []
    for one in attributes if isinstance(attributes, list) else [attributes]:
        if "/Scope" in one.get_object():
            return str(one.get_object()["/Scope"])[1:]
    return ""


def _strings(value: Any, found: list[str]) -> None:
    if isinstance(value, dict):
        for inner in value.values():
            _strings(inner, found)
    elif isinstance(value, list):
        for inner in value:
            _strings(inner, found)
    elif isinstance(value, str | bytes) and not isinstance(value, IndirectObject):
        found.append(value.decode("latin-1") if isinstance(value, bytes) else value)
