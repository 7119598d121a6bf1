"""Pages below /de/, and what they say in their own language."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

from django.test import Client
from django.utils import translation

from shop.languages.addresses import in_every_language, in_language
from tests.support.addresses import all_addresses
from tests.world import World

NOWHERE = "/de/nothing-here/"
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
SPOKEN = {"alt", "aria-label", "content", "placeholder", "title", "label"}
UNSPOKEN_META = {"viewport", "color-scheme", "theme-color", "robots", "referrer", "twitter:card"}
UNSPOKEN_GRAPH = ("og:url", "og:image", "og:type", "og:locale")


class Spoken(HTMLParser):
    """What a page says in its own language: texts and spoken attributes, each by itself."""

    def __init__(self, language: str) -> None:
        super().__init__()
        self.language = language
        self.texts: list[str] = []
        self.attributes: list[str] = []
        self._open: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """An element has the language of what it lies in, unless it names its own."""
        named = {name: value or "" for name, value in attrs}
        language = named.get("lang", self._open[-1][1] if self._open else "")
        meta = named.get("name") or named.get("property") or ""
        spoken = meta == "og:image:alt" or not (meta in UNSPOKEN_META or meta.startswith(UNSPOKEN_GRAPH))
        if language == self.language and spoken:
            self.attributes += [value for name, value in named.items() if name in SPOKEN]
        if tag not in VOID:
            self._open.append((tag, language))

    def handle_endtag(self, tag: str) -> None:
        """Whatever was left open inside closes as well."""
        while self._open and tag in [name for name, _ in self._open]:
            if self._open.pop()[0] == tag:
                return

    def handle_data(self, data: str) -> None:
        """A text, unless it is a program’s."""
        tag, language = self._open[-1] if self._open else ("", "")
        if language == self.language and tag not in {"script", "style"}:
            self.texts.append(data)


def pages(client: Client, world: World) -> Iterator[tuple[str, str]]:
    """Every page that stands in German, and all that hang from one."""
    street = [address for address in all_addresses() if not address.route.startswith("desk/")]
    waiting = [in_language(address.path(world.samples), "de") for address in street]
    waiting += [in_language(world.sold.get_absolute_url(), "de"), "/de/instruments/?q=xyzzy", NOWHERE]
    seen: set[str] = set()
    while waiting:
        path = waiting.pop()
        if path in seen or not path.startswith("/de/"):
            continue
        seen.add(path)
        with translation.override("de"):
            if path != NOWHERE and not in_every_language(path.partition("?")[0]):
                continue
        answer = client.get(path)
        if answer.status_code in {301, 302}:
            waiting.append(answer["Location"])
            continue
        if "text/html" not in answer.get("Content-Type", ""):
            continue
        yield path, answer.text
        links = re.findall(r'(?:href|action)="([^"#]+)', answer.text)
        waiting += [_path(urljoin(path, link.replace("&amp;", "&"))) for link in links]


def _path(link: str) -> str:
    parts = urlsplit(link)
    return parts.path + (f"?{parts.query}" if parts.query else "")
