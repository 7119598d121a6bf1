"""Every word on a German page is a message of ours, or the dealer's own; a language in brackets shows which."""

import re
from collections.abc import Iterable

import pytest
from django.test import Client

from catalog.models import Maker, Model
from tests.factories import ShopFactory
from tests.support.german import Spoken, pages
from tests.support.pseudo import CLOSES, OPENS, in_brackets
from tests.world import World, build_world

SOUGHT = "xyzzy"  # what the visitor typed


@pytest.fixture
def world(db: None) -> World:
    ShopFactory()
    return build_world()


def test_no_word_of_ours_is_left_unmarked(client: Client, world: World) -> None:
    shop = ShopFactory()
    names = {*Maker.objects.values_list("name", flat=True), *Model.objects.values_list("name", flat=True)}
    own = {*names, shop.name, shop.owner_name, shop.email, SOUGHT}
    found: dict[str, str] = {}
    with in_brackets():
        for path, page in pages(client, world):
            reader = Spoken("de")
            reader.feed(page)
            for text in [outside(reader.texts), *(outside([text]) for text in reader.attributes)]:
                for line in without(own, text).splitlines():
                    if re.search(r"[^\W\d_]{2}", line):
                        found.setdefault(" ".join(line.split()), path)
    assert found == {}


def outside(texts: Iterable[str]) -> str:
    """What stands outside of every message; a message may run through several elements."""
    depth, kept = 0, []
    for letter in "\n".join(texts):
        depth += {OPENS: 1, CLOSES: -1}.get(letter, 0)
        if not depth and letter != CLOSES:
            kept.append(letter)
    assert not depth
    return "".join(kept)


def without(own: Iterable[str], text: str) -> str:
    """A text without whole addresses and the dealer's names, the longest first."""
    text = re.sub(r"https?://\S+", "", text)
    for name in sorted(own, key=len, reverse=True):
        text = re.sub(re.escape(name), "", text, flags=re.IGNORECASE) if name else text
    return text
