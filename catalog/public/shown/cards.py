"""One instrument among others."""

from dataclasses import dataclass
from typing import Any

from catalog.instruments.availability import Availability, availability_of
from catalog.instruments.models import Instrument
from catalog.originality.rules import Word, briefly
from catalog.public.shown.pictures import Picture, picture
from shop.money import Money
from shop.wording import gettext as _
from shop.wording import in_own, inside, shipped


@dataclass(frozen=True)
class Card:
    """One instrument among others; maker and model are empty where the name is not made of them.

    `own` is name and date in the dealer's language, for what is the same on the pages of every language.
    """

    stock: int
    address: str
    name: str
    maker: str
    model: str
    made: str
    setout: str
    state: str
    price: str
    originality: str
    picture: Picture | None
    price_on_request: bool = False
    own: tuple[str, str] = ("", "")

    @property
    def state_word(self) -> str:
        """The state as the reader is told it."""
        return Availability(self.state).word


def card(instrument: Any) -> Card:
    """An instrument that came through catalog.public.queries.cards or .pages."""
    ready, model = instrument.ready, instrument.model
    return Card(
        stock=instrument.stock_id,
        address=instrument.get_absolute_url(),
        name=instrument.name,
        maker=model.maker.name if model else "",
        model=model.name if model else "",
        made=instrument.made_said,
        setout=_setout(instrument),
        state=availability_of(instrument).value,
        price=_price(instrument),
        originality=briefly(Word(instrument.word), instrument.exceptions),
        picture=picture(ready[0]) if ready else None,
        price_on_request=instrument.asking_price is None and instrument.state != Instrument.State.SOLD,
        own=_own(instrument),
    )


def _own(instrument: Instrument) -> tuple[str, str]:
    with in_own():
        return instrument.name, instrument.made_said


def _setout(instrument: Instrument) -> str:
    """Banjo, five-string; but of the mandolin family a mandola is a mandola, and a ukulele banjo says it is one."""
    kind, now = instrument.kind.name, instrument.configuration_now
    if now and (kind.endswith(" family") or kind.lower() in now.name.lower()):
        return shipped(now.name)
    if not now:
        return shipped(kind)
    return _("%(kind)s, %(configuration)s") % {
        "kind": shipped(kind),
        "configuration": inside(shipped(now.name)),
    }


def _price(instrument: Any) -> str:
    """What a piece went for is between the shop and the buyer; what was asked last is told where the owner wants it."""
    asked = instrument.asking_price
    price = str(Money(asked, instrument.currency)) if asked is not None else ""
    if instrument.state == Instrument.State.SOLD:
        return _("Asked: %(price)s") % {"price": price} if price and instrument.price_told else ""
    return price or _("Price on request")
