"""Every word that a public template shows goes through the catalogue of messages."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.conf import settings
from django.template.base import Lexer, TokenType
from django.template.defaultfilters import linebreaks

from catalog.instruments.availability import Availability
from shop.templatetags.trade import linked, own_paragraphs, quoted
from tests.support.pseudo import in_brackets, one_message

TEMPLATES = Path(settings.BASE_DIR) / "templates"
BESIDE = ("base.html", "404.html", "403_elsewhere.html", "500.html")
BLOCKS = (
    "_empty",
    "_field",
    "_field_notes",
    "_form_errors",
    "_pager",
    "_site_footer",
    "_site_header",
    "_state",
)
PUBLIC = [
    *sorted((TEMPLATES / "public").glob("*.html")),
    *(TEMPLATES / name for name in BESIDE),
    *(TEMPLATES / "blocks" / f"{name}.html" for name in BLOCKS),
]
READ_OUT = {"alt", "aria-label", "title", "label", "placeholder", "data-of"}
SAID_ABOUT = {"description", "og:title", "og:description", "og:image:alt"}
# A text in a tag that begins as a sentence does; the names of addresses, files and templates are small.
CONSTANT = re.compile(r"""(?<!_\()["']([A-Z“][^"']*)["']""")
LETTER = re.compile(r"[^\W\d_]")


class Shown(HTMLParser):
    """The words of markup that a reader meets: between its elements, and in what is read out of them."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Attributes that are shown or read out."""
        given = dict(attrs)
        said = SAID_ABOUT & {given.get("name"), given.get("property")}
        self.words += [given[name] or "" for name in READ_OUT & set(given)]
        self.words += [given["content"] or ""] if said else []

    def handle_data(self, data: str) -> None:
        """What stands between the elements."""
        self.words.append(data)


def unspoken(source: str) -> list[str]:
    """The words of a template that no message holds."""
    shown = Shown()
    shown.feed("".join(_outside(source)))
    shown.close()
    return [*(words.strip() for words in shown.words if LETTER.search(words)), *_constants(source)]


def _outside(source: str) -> Iterator[str]:
    """The markup outside of messages."""
    inside = False
    for token in Lexer(source).tokenize():
        if token.token_type == TokenType.BLOCK:
            name = token.split_contents()[0]
            inside = name == "blocktranslate" or (inside and name != "endblocktranslate")
        elif token.token_type == TokenType.TEXT and not inside:
            yield token.contents


def _constants(source: str) -> Iterator[str]:
    for token in Lexer(source).tokenize():
        if token.token_type in (TokenType.BLOCK, TokenType.VAR) and not token.contents.startswith(
            "translate "
        ):
            yield from CONSTANT.findall(token.contents)


@pytest.mark.parametrize("template", PUBLIC, ids=lambda path: path.name)
def test_a_public_template_shows_no_word_outside_of_a_message(template: Path) -> None:
    assert unspoken(template.read_text(encoding="utf-8")) == []


def test_templates_of_buyers_show_only_blocks_that_are_looked_at_here() -> None:
    sources = [path.read_text(encoding="utf-8") for path in PUBLIC]
    included = {name for source in sources for name in re.findall(r'include "blocks/(\w+)\.html"', source)}
    assert included - {"_styles"} <= set(BLOCKS)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("<p>Sold {{ when }}</p>", ["Sold"]),
        ('<img alt="A picture" src="a.jpg">', ["A picture"]),
        ('<nav aria-label="Pages"></nav>', ["Pages"]),
        ('<meta name="description" content="Old {{ what }}">', ["Old"]),
        ('{% include "a.html" with title="Nothing yet." %}', ["Nothing yet."]),
        ('{{ when|default:"Not dated" }}', ["Not dated"]),
        ('{% include "a.html" with title=_("Nothing yet.") %}{{ when|default:_("Not dated") }}', []),
        ('<p class="soft">{% translate "Sold" %} · {{ when }}</p>', []),
        ("{% blocktranslate count many=2 %}One{% plural %}Many{% endblocktranslate %}<b>Two</b>", ["Two"]),
    ],
)
def test_words_outside_of_a_message_are_found(source: str, words: list[str]) -> None:
    assert unspoken(source) == words


def test_words_stand_in_a_row_as_the_language_has_them() -> None:
    assert quoted(["rim", "neck", "<b>"]) == "“rim”, “neck” and “<b>”"
    assert linked([("<rim>", "/a/?q=1&b=2")]) == '<a href="/a/?q=1&amp;b=2">&lt;rim&gt;</a>'
    with in_brackets():
        assert one_message(quoted(["rim", "neck"]))
        assert one_message(linked([("rim", "/a/"), ("neck", "/b/")]))


def test_paragraphs_of_the_dealer_say_their_language_on_a_page_in_another() -> None:
    text = "One.\n\n<p>Two."
    assert own_paragraphs(linebreaks(text, autoescape=True)) == "<p>One.</p>\n\n<p>&lt;p&gt;Two.</p>"
    with in_brackets():
        assert (
            own_paragraphs(linebreaks(text, autoescape=True))
            == '<p lang="en">One.</p>\n\n<p lang="en">&lt;p&gt;Two.</p>'
        )


def test_what_a_buyer_may_have_has_a_word_in_each_language_and_one_name_in_all() -> None:
    assert [one.word for one in Availability] == [one.value for one in Availability]
    with in_brackets():
        assert [one.word for one in Availability] == [f"⟦{one.value}⟧" for one in Availability]
