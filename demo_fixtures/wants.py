"""What people seek of the invented shop, and a first call for a piece that is ready and not on the public side."""

from datetime import timedelta
from typing import Any

from catalog.models import Instrument
from catalog.publishing.readiness import stops_publishing
from demo_fixtures.clock import Clock
from inquiries.people.actions import contact_for
from inquiries.wants.actions import take_down
from inquiries.wants.call_actions import answered, open_first_call
from inquiries.wants.call_letters import draft
from inquiries.wants.links import Links
from shop.models import User
from shop.profile.queries import the_shop

LINKS = Links("https://shop.example{}".format)
NOT_PUBLIC = (Instrument.State.WITHDRAWN, Instrument.State.DRAFT)


def load_wants(*, owner: User, clock: Clock) -> None:
    """Three wishes taken down over the last months, and a first call, for which the first has no use."""
    ready = next((piece for piece in _not_public() if not stops_publishing(piece)), None)
    if ready is None:
        return
    _wishes(ready, owner=owner, clock=clock)
    hours = the_shop().first_call_hours
    opened, said = clock.now - timedelta(hours=5), clock.now - timedelta(hours=2)
    first = open_first_call(
        ready,
        hours=hours,
        one_at_a_time=True,
        letter=draft(ready, at=opened),
        links=LINKS,
        by=owner,
        at=opened,
    )
    told = first.calls.filter(told_at__isnull=False).first()
    if told is not None:
        answered(told, "no", by=owner, at=said)


def _not_public() -> Any:
    return Instrument.objects.named().filter(state__in=NOT_PUBLIC).order_by("-state", "stock")


def _wishes(piece: Instrument, *, owner: User, clock: Clock) -> None:
    kind, year = piece.kind, piece.made_earliest or 1930
    people: tuple[tuple[str, str, str, dict[str, Any], int], ...] = (
        (
            "Isolde Marrack",
            "isolde@marrack.example",
            f"A {kind.name.lower()} for the stage",
            {
                "kind": kind,
                "made_from": year - 5,
                "made_to": year + 5,
                "configuration": piece.configuration_now,
            },
            90,
        ),
        (
            "Tobin Ferrel",
            "tobin@ferrel.example",
            f"An honest {kind.name.lower()}, played and not too dear",
            {"kind": kind, "price_up_to": 30_000},
            60,
        ),
        ("Hanneke Osterly", "", f"Any {kind.name.lower()} to learn on", {"kind": kind}, 30),
    )
    for name, email, sought, stated, days in people:
        at = clock.at(days)
        contact = contact_for(name, email, "" if email else "+1 802 555 0177", at=at)
        take_down(contact, sought, stated, by=owner, at=at)
