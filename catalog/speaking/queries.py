"""The speaker's sheet of a record."""

from collections.abc import Iterable, Iterator
from typing import Any

from catalog.claims.queries import Reading, read_texts
from catalog.features.models import Unusual
from catalog.features.rules import place_of
from catalog.instruments.models import FoundNumber, Instrument
from catalog.public.shown.listing import Listing, listing
from catalog.public.shown.wording import lowered
from catalog.speaking.models import SpokenLine
from catalog.speaking.rules import Drawn, Kept, Spoken, Told, default_lines, merged
from shop.money import Money
from shop.profile.models import ShopProfile

FACTORY = Unusual.Verdict.FACTORY.label
RARITY = frozenset({"one-of", "rare"})
CLEAR = FoundNumber.Legibility.CLEAR.label


def sheet_of(instrument: Any, shop: ShopProfile) -> list[Spoken]:
    """Every line in its order, for an instrument that came through catalog.public.queries.pages."""
    said = [reading for reading in read_texts(instrument) if reading.claim.key in RARITY]
    told = told_of(listing(instrument, waiting=0), _price(instrument, shop), said)
    return merged(default_lines(told), [kept_of(row) for row in instrument.spoken_lines.all()])


def kept_of(row: SpokenLine) -> Kept:
    """A row as the rules take it."""
    return Kept(row.key, row.position, row.words, row.from_record, row.left_out)


def told_of(shown: Listing, price: str, rarity: Iterable[Reading] = ()) -> Told:
    """What the public page says, and the price; `rarity` are the claims of its texts that it is rare."""
    found = shown.originality
    work = [_work(thing) for thing in shown.unusual if thing.verdict == str(FACTORY)]
    return Told(
        name=f"No. {shown.card.stock}: {shown.title}",
        setout=shown.card.setout,
        made_as=shown.made_as if shown.converted else "",
        dated=shown.dating.typed or " ".join(shown.dating.sentences[:1]),
        grade=shown.grade,
        grade_meaning=shown.grade_meaning,
        condition=shown.condition,
        word=found.says if found.examined else "",
        exceptions=found.exceptions if found.examined else [],
        rare=[*_rare(rarity), *work],
        oddities=_oddities(shown),
        included=shown.included,
        setup=shown.setup,
        story=shown.story,
        price=price,
    )


def _rare(rarity: Iterable[Reading]) -> Iterator[Drawn]:
    """Each sentence that says it is rare, with its named source; none that still has to be settled or is no claim."""
    told = {reading.found.sentence: reading for reading in rarity if not (reading.open or reading.dismissed)}
    for sentence, reading in told.items():
        source = reading.answer.reason.rstrip(".") if reading.answer else ""
        words = f"{sentence.rstrip('.')} ({source})" if source else sentence
        yield Drawn(words, "claims", f"#id_{reading.place}")


def _work(thing: Any) -> Drawn:
    words = f"{thing.what}: {lowered(thing.seen)}, {lowered(thing.verdict)}"
    return Drawn(words, "unusual", f"#{place_of(thing.what)}")


def _oddities(shown: Listing) -> list[Drawn]:
    """What a listener would stumble over: work that is not the factory's, faint numbers, years out of sight."""
    things = [_work(thing) for thing in shown.unusual if thing.verdict != str(FACTORY)]
    numbers = [
        Drawn(f"{what} {value}, {where}: {lowered(legibility)}", "numbers", f"#id_numbers-{place}-value")
        for place, (what, value, where, legibility) in enumerate(shown.numbers)
        if legibility != str(CLEAR)
    ]
    gaps = [
        Drawn(f"{entry.when}: {lowered(entry.what)}", "provenance", "#open")
        for entry in shown.provenance
        if entry.gap
    ]
    return things + numbers + gaps


def _price(instrument: Instrument, shop: ShopProfile) -> str:
    """The asking price, or how to ask for it; nothing while neither is settled."""
    if instrument.state == Instrument.State.SOLD:
        return "Sold"
    if instrument.asking_price is not None:
        return str(Money(instrument.asking_price, instrument.currency))
    if not instrument.price_on_request:
        return ""
    ways = [f"telephone {shop.telephone}"] if shop.telephone else []
    return f"Price on request: {' or '.join([*ways, f'write to {shop.email}'])}"
