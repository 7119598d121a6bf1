"""The list of words of a language: every message in English with its translation, as a file that translators know.

It is a .po file (GNU gettext), and lies beside the .mo file that is made of it and read when the shop starts.
"""

import io
import re
import uuid
from collections.abc import Iterable, Mapping
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.conf import settings

from shop.languages.gathering import Said

Gathered = Mapping[tuple[str, str], Iterable[Said]]
HEAD = """\
# %s: what the public side says. `manage.py words` gathers the messages and packs this file."""
PLACE = re.compile(r"%\((\w+)\)[sd]|%%|(%)")


class Wordlist(Catalog):
    """A catalogue of messages whose head says nothing of when, by whom and with which tool it was written."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        """The lines of its head."""
        return [
            ("Language", self.locale_identifier or ""),
            ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Transfer-Encoding", "8bit"),
            ("Plural-Forms", self.plural_forms),
        ]


def po_path(code: str) -> Path:
    """Where the words of a language lie."""
    return Path(settings.LOCALE_PATHS[0]) / code / "LC_MESSAGES" / "django.po"


def mo_path(code: str) -> Path:
    """Where the file lies that the shop reads."""
    return po_path(code).with_suffix(".mo")


def read(path: Path, code: str) -> Catalog:
    """The words of a file; none for one that is not there yet."""
    if not path.exists():
        return Catalog(locale=code)
    with path.open("rb") as file:
        return read_po(file, locale=code)


def brought_up(gathered: Gathered, code: str, *known: Catalog) -> Wordlist:
    """What is said now, with the translations that are known; of two, that of the later catalogue."""
    words = Wordlist(locale=code, fuzzy=False, header_comment=HEAD % dict(settings.LANGUAGES).get(code, code))
    for (one, context), places in gathered.items():
        many = next((said.many for said in places if said.many), "")
        identity = (one, many) if many else one
        translation = _translation(known, identity, context, forms=words.num_plurals)
        where = sorted({said.where for said in places})
        words.add(identity, translation, [(path, 0) for path in where], context=context or None)
    return words


def _translation(
    known: Iterable[Catalog], identity: str | tuple[str, str], context: str, *, forms: int
) -> str | tuple[str, ...]:
    """The last one known; one that was made for a single message is none for one and many."""
    found: str | tuple[str, ...] = ("",) * forms if isinstance(identity, tuple) else ""
    for catalogue in known:
        message = catalogue.get(identity if isinstance(identity, str) else identity[0], context or None)
        if message is None or message.fuzzy or not is_translated(message):
            continue
        words = texts_of(message.string)
        if len(words) == (forms if isinstance(identity, tuple) else 1):
            found = words if isinstance(identity, tuple) else words[0]
    return found


def texts_of(forms: object) -> tuple[str, ...]:
    """A message, or its translation, as its forms: one, or as many as the language has."""
    return tuple(map(str, forms)) if isinstance(forms, tuple | list) else (str(forms or ""),)


def is_translated(message: Message) -> bool:
    """Whether every form of a message has words."""
    return all(texts_of(message.string))


def key_of(message: Message) -> tuple[str, str]:
    """What tells a message from every other: its English, and its context."""
    return (message.id if isinstance(message.id, str) else message.id[0]), message.context or ""


def as_po(words: Catalog) -> bytes:
    """The list as a .po file, in the order of the alphabet, with the files where each message is said."""
    out = io.BytesIO()
    write_po(out, words, width=110, sort_output=True, include_lineno=False, omit_header=False)
    return out.getvalue()


def as_mo(words: Catalog) -> bytes:
    """The list as the shop reads it."""
    out = io.BytesIO()
    write_mo(out, words)
    return out.getvalue()


def untranslated(words: Catalog) -> list[Message]:
    """The messages that have no words in the language yet."""
    return [message for message in words if message.id and not is_translated(message)]


def unlike_places(message: Message) -> set[str]:
    """The named places that a message and its translation do not share; "%" for a sign that is no place.

    One may leave out a figure that the many name (“a part”, “%(many)s parts”).
    """
    said = [_places(text) for text in texts_of(message.string)]
    wanted = [_places(text) for text in texts_of(message.id)]
    foreign = {place for places in said for place in places if not any(place in one for one in wanted)}
    everywhere = {place for place in wanted[0] if all(place in one for one in wanted)}
    lost = {place for place in everywhere if not all(place in one for one in said)}
    return foreign | lost | (wanted[-1] - said[-1])


def _places(text: str) -> set[str]:
    """The places of a text, as long as it has any: a text without them is taken as it stands."""
    found = list(PLACE.finditer(text))
    names = {one[1] for one in found if one[1]}
    return names | {"%"} if names and any(one[2] for one in found) else names


def put(path: Path, content: bytes) -> None:
    """Write a file in one step."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}-{uuid.uuid4().hex}")
    beside.write_bytes(content)
    beside.replace(path)
