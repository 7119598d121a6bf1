"""A listed piece as an entry of the feed."""

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.public.shown.cards import card
from catalog.public.shown.wording import shortened

MOST_OF_THE_STORY = 600  # characters
# What XML 1.0 cannot carry (section 2.2).
NO_CHARACTERS = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True)
class Entry:
    """One piece: when it was first listed, when its record last changed, and what is said of it in short."""

    stock: int
    title: str
    address: str
    listed: datetime
    changed: datetime
    says: str


def entry(instrument: Any) -> Entry:
    """A listed instrument that came through catalog.public.queries.cards."""
    shown = card(instrument)
    parts = [shown.setout, shown.originality, shown.state, shown.price]
    story = shortened(instrument.story, MOST_OF_THE_STORY)
    says = f"No. {shown.stock}: {'. '.join(part for part in parts if part)}. {story}"
    return Entry(
        stock=shown.stock,
        title=NO_CHARACTERS.sub(" ", instrument.title),
        address=shown.address,
        listed=instrument.listed_at,
        changed=max(instrument.changed_at, instrument.listed_at),
        says=NO_CHARACTERS.sub(" ", says).strip(),
    )
