"""The list of words of a language: gathered from code, templates and sheets, kept, brought up, and packed."""

import ast
import gettext
from collections.abc import Iterator
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Message
from django.core.management import CommandError, call_command

from shop.languages.gathering import CALLS, PASSED_BY, ROOMS, gather
from shop.languages.wordlist import (
    as_mo,
    as_po,
    brought_up,
    mo_path,
    po_path,
    read,
    unlike_places,
)
from shop.settings import BASE_DIR

CODE = """
from shop.wording import gettext as _, ngettext, pgettext
def say(name, many):
    return _("The %(part)s is missing.") % {"part": _(name)}
def count(many):
    return ngettext("a part", "%(many)s parts", many) % {"many": many}
STATE = pgettext("of a hold", "Open")
"""
TEMPLATE = """
  {% if it %}
      <p class="it's {{ x }}">{% translate "Neck" %} isn't "here"</p>
    {% blocktranslate count many=n trimmed %}
      {{ many }} piece
    {% plural %}
      {{ many }} pieces
    {% endblocktranslate %}
  {% endif %}
 {% translate "Main" context "navigation" %} {% include "x" with heading=_("Please look again:") %}
"""
SHEETS = '[{"slug": "oud", "name": "Oud", "parts": [{"slug": "rose", "name": "Rose", "role": "body"}],'
SHEETS += ' "measures": [{"name": "Top", "choices": ["spruce"]}]}]'


@pytest.fixture
def house(tmp_path: Path, settings: Any) -> Path:
    """A small house with one of everything that says something."""
    files = {
        "catalog/parts.py": CODE,
        "catalog/migrations/0001_first.py": '_("Said long ago")',
        "templates/page.html": TEMPLATE,
        "catalog/instruments/sheets.json": SHEETS,
    }
    for name, content in files.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")
    settings.BASE_DIR = tmp_path
    settings.LOCALE_PATHS = [tmp_path / "locale"]
    return tmp_path


def told(*arguments: str) -> str:
    out = StringIO()
    call_command("words", *arguments, stdout=out)
    return out.getvalue()


def translations(path: Path) -> gettext.GNUTranslations:
    return gettext.GNUTranslations(BytesIO(path.read_bytes()))


def test_code_templates_and_sheets_are_gathered(house: Path) -> None:
    found = {said.key: (said.many, said.where) for places in gather().values() for said in places}
    code, page, sheets = "catalog/parts.py", "templates/page.html", "catalog/instruments/sheets.json"
    assert found == {
        ("The %(part)s is missing.", ""): ("", code),
        ("a part", ""): ("%(many)s parts", code),
        ("Open", "of a hold"): ("", code),
        ("Neck", ""): ("", page),
        ("%(many)s piece", ""): ("%(many)s pieces", page),
        ("Main", "navigation"): ("", page),
        ("Please look again:", ""): ("", page),
        ("Oud", ""): ("", sheets),
        ("Rose", ""): ("", sheets),
        ("Top", ""): ("", sheets),
        ("spruce", ""): ("", sheets),
    }


def test_translations_stay_and_what_nothing_says_goes(house: Path) -> None:
    assert told() == "de: 11 messages, 11 not translated.\n"
    path = po_path("de")
    path.write_text(
        path.read_text(encoding="utf-8").replace('msgid "Neck"\nmsgstr ""', 'msgid "Neck"\nmsgstr "Hals"')
    )
    assert told() == "de: 11 messages, 10 not translated.\n"
    assert translations(mo_path("de")).gettext("Neck") == "Hals"
    (house / "templates" / "page.html").unlink()
    assert told() == "de: 7 messages, 7 not translated.\n"
    assert "Hals" not in path.read_text(encoding="utf-8")


def test_translations_that_came_in_are_taken(house: Path) -> None:
    came = house / "came.po"
    came.write_text(
        'msgid "a part"\nmsgid_plural "%(many)s parts"\nmsgstr[0] "ein Teil"\nmsgstr[1] "%(many)s Teile"\n\n'
        'msgctxt "of a hold"\nmsgid "Open"\nmsgstr "Offen"\n\n'
        'msgid "The %(part)s is missing."\nmsgstr "%(teil)s fehlt."\n\n'
        'msgid "Said by nobody"\nmsgstr "Von niemandem gesagt"\n',
        encoding="utf-8",
    )
    said = told("--take", str(came))
    assert said.startswith("de: 11 messages, 8 not translated.\n")
    assert "Its places differ (part, teil): The %(part)s is missing." in said
    words = translations(mo_path("de"))
    assert words.ngettext("a part", "%(many)s parts", 2) == "%(many)s Teile"
    assert words.pgettext("of a hold", "Open") == "Offen"
    assert "niemandem" not in po_path("de").read_text(encoding="utf-8")
    missing = told("--missing")
    assert "Please look again:" in missing
    assert "Offen" not in missing
    with pytest.raises(CommandError, match="There is no file"):
        told("--take", str(house / "lost.po"))
    with pytest.raises(CommandError, match="Say which language"):
        told("--take", str(came), "--language", "fr")


def test_the_same_words_make_the_same_files(house: Path) -> None:
    first = brought_up(gather(), "de")
    assert as_po(first) == as_po(brought_up(gather(), "de", read(po_path("de"), "de")))
    assert as_mo(first) == as_mo(brought_up(gather(), "de"))
    assert b"Generated-By" not in as_po(first) + as_mo(first)


PARTS = ("a part of %(whole)s", "%(many)s parts of %(whole)s")


@pytest.mark.parametrize(
    ("english", "translated", "unlike"),
    [
        ("The %(part)s is missing.", "%(part)s: fehlt.", set()),
        ("The %(part)s is missing.", "Fehlt.", {"part"}),
        ("The %(part)s is missing.", "%(teil)s fehlt.", {"part", "teil"}),
        ("%(share)s %% of it", "%(share)s %% davon", set()),
        ("%(share)s of it", "%(share)s % davon", {"%"}),
        ("100 % silk", "reine Seide", set()),
        (PARTS, ("ein Teil von %(whole)s", "%(many)s Teile von %(whole)s"), set()),
        (PARTS, ("ein Teil", "%(many)s Teile von %(whole)s"), {"whole"}),
        (("a part", "%(many)s parts"), ("ein Teil", "viele Teile"), {"many"}),
    ],
)  # fmt: skip
def test_places_are_compared(
    english: str | tuple[str, str], translated: str | tuple[str, ...], unlike: set[str]
) -> None:
    assert unlike_places(Message(english, translated)) == unlike


def calls() -> Iterator[tuple[str, ast.Call]]:
    for room in ROOMS:
        for path in (BASE_DIR / room).rglob("*.py"):
            if PASSED_BY & set(path.parts):
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                name = getattr(node, "func", None)
                if (
                    isinstance(node, ast.Call)
                    and (getattr(name, "id", None) or getattr(name, "attr", "")) in CALLS
                ):
                    yield f"{path.relative_to(BASE_DIR)}:{node.lineno}", node


def test_no_message_is_put_together_where_it_is_said() -> None:
    made = (ast.JoinedStr, ast.BinOp)
    found = list(calls())
    assert found
    assert [where for where, call in found if any(isinstance(part, made) for part in call.args)] == []


def test_words_are_taken_from_the_one_place_under_names_that_are_gathered() -> None:
    for room in ROOMS:
        for path in (BASE_DIR / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ImportFrom) and node.module in {
                    "shop.wording",
                    "django.utils.translation",
                }:
                    for one in node.names:
                        if one.name in CALLS:
                            assert (one.asname or one.name) in CALLS, path
