"""What stands beside a reply: facts by theme, answers to the usual questions, phrases, private pictures."""

import hashlib
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from catalog.models import Instrument
from catalog.originality.queries import leaf_parts
from inquiries.answering.answers import Answer, answers, photographs
from inquiries.answering.facts import Fact, Told, by_theme, facts_of
from inquiries.answering.models import PictureLink, SavedPhrase
from inquiries.answering.queries import (
    links_of,
    parts_asked_about,
    phrases,
    piece_of,
    shipping_for,
    standing_for,
    told_of,
    views_of,
)
from inquiries.desk.answering_forms import LinkForm
from inquiries.threads.models import Inquiry
from shop.profile.queries import the_shop
from shop.staff.models import User

LATEST = 3  # of their messages in which parts of the piece are looked for


@dataclass(frozen=True)
class Beside:
    """All that can be put into a reply in this thread."""

    piece: Any = None
    told: Told | None = None
    themes: list[tuple[str, list[Fact]]] = field(default_factory=list)
    answers: list[Answer] = field(default_factory=list)
    parts: list[tuple[str, str]] = field(default_factory=list)

    def sentence(self, key: str, part: str) -> str:
        """The words that a press puts in; empty when the record says something else by now."""
        if key == "photographs":
            return next((self.of_part(slug).text for slug, _name in self.parts if slug == part), "")
        known = {fact.key: fact.sentence for _theme, facts in self.themes for fact in facts}
        return known.get(key) or next((one.text for one in self.answers if one.key == key), "")

    def of_part(self, slug: str) -> Answer:
        """Which photographs show a part."""
        assert self.told is not None  # noqa: S101 - a piece with parts was told of
        name = dict(self.parts)[slug]
        return photographs(name, views_of(self.piece, self.told.shown))._replace(key=f"photographs-{slug}")


def beside(inquiry: Inquiry, *, at: datetime) -> Beside:
    """Read off the record; nothing where the thread is about no piece."""
    piece = piece_of(inquiry, at=at) if inquiry.instrument_id else None
    if piece is None:
        return Beside()
    told = told_of(piece, the_shop(), at=at)
    facts = [fact._replace(key=_key(fact)) for fact in facts_of(told)]
    known = Beside(
        piece=piece,
        told=told,
        themes=by_theme({fact.key: fact for fact in facts}.values()),
        answers=answers(told, standing_for(inquiry, piece, at=at), shipping_for(inquiry)),
        parts=[(part.slug, part.name) for part in leaf_parts(piece)],
    )
    theirs = inquiry.messages.filter(ours=False).order_by("-at", "-pk").values_list("body", flat=True)
    known.answers.extend(known.of_part(slug) for slug in parts_asked_about(piece, theirs[:LATEST]))
    return known


def _key(fact: Fact) -> str:
    """A name of just this sentence, so that a press on an old page puts in what it showed, or nothing."""
    return hashlib.sha256(fact.sentence.encode()).hexdigest()[:12]


def answering(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """Facts, answers, phrases and picture links, with the empty form of a new link."""
    known = beside(inquiry, at=at)
    links: list[PictureLink] = list(links_of(inquiry))
    saved: list[SavedPhrase] = list(phrases())
    return {
        "beside": known,
        "phrases": saved,
        "picture_links": links,
        "link_form": LinkForm(instrument) if instrument else None,
    }
