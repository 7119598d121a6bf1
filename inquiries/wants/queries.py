"""Which wishes are open, and which of them a piece meets."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from catalog.models import Configuration, Instrument, Kind, Maker, Model
from catalog.originality.queries import with_word
from catalog.originality.rules import WORDS, Word, briefly
from inquiries.people.models import Want
from inquiries.wants.models import Call, FirstCall
from inquiries.wants.rules import Match, Named, Piece, Wish, match, place, span
from shop.money import Money
from shop.profile.queries import the_shop
from shop.wording import inside, shipped

STATED = ("kind", "maker", "model__maker", "configuration")
PIECE = ("configuration_made", "configuration_now")


@dataclass(frozen=True)
class Seeker:
    """A wish that a piece meets."""

    want: Want
    match: Match

    @property
    def reasons(self) -> list[str]:
        """Why, a sentence each."""
        return self.match.sentences


def open_wants() -> "QuerySet[Want]":
    """Wishes that wait to be fulfilled, the latest first, with the person and what is stated."""
    wants = Want.objects.filter(done_at__isnull=True).select_related("contact", *STATED)
    return wants.order_by("-asked_at", "-pk")


def counting(wants: "QuerySet[Want]", today: date) -> "QuerySet[Want]":
    """Those that are matched: taken down at the desk or confirmed, and not past their last day."""
    counts = Q(source=Want.Source.DESK) | Q(confirmed_at__isnull=False)
    return wants.filter(counts).filter(Q(until__isnull=True) | Q(until__gte=today))


def seekers_of(instruments: Iterable[Instrument], *, at: datetime) -> dict[int, list[Seeker]]:
    """Who seeks each of these pieces, who hears first standing first, by the keys of the pieces; in three queries."""
    shop = the_shop()
    today = at.astimezone(shop.zone).date()
    keys = [instrument.pk for instrument in instruments]
    if not keys:
        return {}
    pieces = with_word(Instrument.objects.filter(pk__in=keys).named().select_related(*PIECE))
    wants = list(counting(open_wants(), today))
    return {piece.pk: _seekers(as_piece(piece), wants, shop.currency, today) for piece in pieces}


def seekers_for(instrument: Instrument, *, at: datetime) -> list[Seeker]:
    """Who seeks one piece, who hears first standing first."""
    return seekers_of([instrument], at=at).get(instrument.pk, [])


def _seekers(piece: Piece, wants: list[Want], currency: str, today: date) -> list[Seeker]:
    found = ((want, match(as_wish(want, currency), piece, today=today)) for want in wants)
    seekers = [Seeker(want, meets) for want, meets in found if meets is not None]
    seekers.sort(key=lambda seeker: place(seeker.match, seeker.want.asked_at, seeker.want.pk))
    best: dict[int, Seeker] = {}
    for seeker in seekers:
        best.setdefault(seeker.want.contact_id, seeker)  # nobody is told twice of one piece
    return list(best.values())


def as_piece(instrument: Instrument) -> Piece:
    """What is known of an instrument that came through `with_word`."""
    word = Word(instrument.word)  # type: ignore[attr-defined]
    price = instrument.asking_price
    return Piece(
        kind=_kind(instrument.kind) or Named(0, ""),
        maker=_named(instrument.maker),
        model=_named(instrument.model),
        stands=_configuration(instrument.configuration_now),
        made_as=_configuration(instrument.configuration_made),
        made=instrument.made_said,
        earliest=instrument.made_earliest,
        latest=instrument.made_latest,
        word=word,
        word_said=briefly(word, instrument.exceptions),  # type: ignore[attr-defined]
        price=None if price is None else Money(price, instrument.currency),
        on_request=instrument.price_on_request,
    )


def as_wish(want: Want, currency: str) -> Wish:
    """What a wish states; its price is in the shop's own money."""
    word = Word(want.word_at_least) if want.word_at_least else None
    return Wish(
        kind=_kind(want.kind),
        maker=_named(want.maker),
        model=_named(want.model),
        configuration=_configuration(want.configuration),
        made_from=want.made_from,
        made_to=want.made_to,
        word=word,
        word_said=inside(str(WORDS[word])) if word else "",
        price=None if want.price_up_to is None else Money(want.price_up_to, currency),
        until=want.until,
    )


def stated(want: Want, currency: str) -> list[str]:
    """What a wish states, in few words each, in the order of the form."""
    wish = as_wish(want, currency)
    years = wish.made_from is not None or wish.made_to is not None
    said = [
        *(named.name for named in (wish.kind, wish.model or wish.maker, wish.configuration) if named),
        f"made {span(wish.made_from, wish.made_to)}" if years else "",
        f"at least {wish.word_said}" if wish.word else "",
        f"up to {wish.price}" if wish.price else "",
        f"until {wish.until:%-d %B %Y}" if wish.until else "",
    ]
    return [words for words in said if words]


def first_call_of(instrument: Instrument) -> FirstCall | None:
    """The first call that is open for a piece, with its calls in their order."""
    return with_calls(FirstCall.objects.filter(instrument=instrument, ended_at__isnull=True)).first()


def first_calls_of(instrument: Instrument) -> "QuerySet[FirstCall]":
    """Every first call for a piece, the latest first."""
    return with_calls(FirstCall.objects.filter(instrument=instrument).order_by("-opened_at", "-pk"))


def with_calls(first_calls: "QuerySet[FirstCall]") -> "QuerySet[FirstCall]":
    """First calls with everybody in them."""
    named = "calls__want__contact", "calls__message"
    return first_calls.select_related("by").prefetch_related(*named)


def calls_of_people(people: Iterable[int]) -> "QuerySet[Call]":
    """The calls of these people, the latest first call first."""
    calls = Call.objects.filter(want__contact__in=list(people))
    piece = "first_call__instrument"
    named = (f"{piece}__kind", f"{piece}__maker", f"{piece}__model__maker")
    return calls.select_related("want", "message", *named).order_by("-first_call__opened_at", "-pk")


def _kind(kind: Kind | None) -> Named | None:
    return Named(kind.pk, shipped(kind.name)) if kind else None


def _configuration(configuration: Configuration | None) -> Named | None:
    return Named(configuration.pk, shipped(configuration.name)) if configuration else None


def _named(row: Maker | Model | None) -> Named | None:
    return Named(row.pk, str(row)) if row else None
