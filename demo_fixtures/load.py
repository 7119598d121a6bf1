"""Load the invented shop, through the same deeds that a dealer's presses run."""

import json
from collections.abc import Callable
from datetime import time
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.utils import timezone

from demo_fixtures.answering import load_answering
from demo_fixtures.clock import Clock
from demo_fixtures.letters import load_letters
from demo_fixtures.people import load_people
from demo_fixtures.sale_papers import load_sale_papers
from demo_fixtures.stock import load_stock
from demo_fixtures.visits import load_visits
from demo_fixtures.wants import load_wants
from demo_fixtures.year import let_mail_go, load_year
from inquiries.papers.filing import make_file
from inquiries.shipping.actions import add_carrier_rule
from shop.hours.actions import set_hours
from shop.hours.rules import Span
from shop.models import Job, ShopProfile, User
from shop.policies.actions import add_policy

HERE = Path(__file__).resolve().parent
Say = Callable[[str], object]

OWNER_PASSWORD = "maple and ebony"  # noqa: S105 - printed on purpose: the demo is for looking around
HELPER_PASSWORD = "spruce and cedar"  # noqa: S105
LOG_INS = [("owner", "owner", OWNER_PASSWORD), ("helper", "helper", HELPER_PASSWORD)]


def load_shop(*, say: Say) -> None:
    """Fill an empty database: the shop, its staff, its stock with pictures, a year of trade."""
    shop = read("shop.json")
    owner, helper = _staff(shop)
    profile = ShopProfile.objects.create(pk=1, **_profile(shop))
    clock = Clock(timezone.now(), profile.zone)
    set_hours(_week(shop), by=owner, at=clock.at(365))
    _policy(shop["house_policy"], owner=owner, clock=clock)
    _carriers(shop, owner=owner, clock=clock)
    say("The shop and its staff …")
    load_stock(owner=owner, clock=clock, say=say)
    say("A year of questions, holds and sales …")
    load_year(read("year.json"), owner=owner, helper=helper, clock=clock)
    load_sale_papers(owner=owner)
    load_answering(owner=owner, clock=clock)
    load_letters(read("letters.json"), helper=helper, clock=clock)
    load_people(read("people.json"), helper=helper, clock=clock)
    load_wants(owner=owner, clock=clock)
    load_visits(clock=clock)
    _leave_what_lies_ahead(clock)


def _leave_what_lies_ahead(clock: Clock) -> None:
    """No work of earlier hours is left for the worker, but for the files of papers: they are made from now on."""
    let_mail_go()
    earlier = Job.objects.filter(due__lt=clock.now)
    earlier.exclude(task=make_file.name).delete()
    earlier.update(due=clock.now)


def read(name: str) -> Any:
    """One of the JSON files beside this one."""
    return json.loads((HERE / name).read_text(encoding="utf-8"))


def _profile(shop: dict[str, Any]) -> dict[str, Any]:
    fields = {field.name for field in ShopProfile._meta.concrete_fields}
    given = {name: value for name, value in shop.items() if name in fields}
    lines = {name: "\n".join(value) for name, value in given.items() if isinstance(value, list)}
    return given | lines | {"owner_name": shop["owner"]}


def _week(shop: dict[str, Any]) -> dict[int, tuple[Span, ...]]:
    return {
        int(weekday): ((time.fromisoformat(opens), time.fromisoformat(closes)),)
        for weekday, (opens, closes) in shop["open_hours"].items()
    }


def _policy(given: dict[str, Any], *, owner: User, clock: Clock) -> None:
    """What the shop promises and asks, from before the first hold of the year on."""
    at = clock.at(500)
    figures = {name: Decimal(value) if isinstance(value, int) else value for name, value in given.items()}
    whole = {name: int(value) for name, value in figures.items() if name.endswith(("_hours", "_days"))}
    add_policy(figures | whole | {"starts": at.date()}, by=owner, at=at)


def _carriers(shop: dict[str, Any], *, owner: User, clock: Clock) -> None:
    """What the invented carriers ask; one of them has changed it since."""
    for row in shop["carrier_rules"]:
        given = {name: Decimal(value) if isinstance(value, int) else value for name, value in row.items()}
        at = clock.at(int(given.pop("days_ago")))
        read = {"starts": at.date(), "read_on": at.date(), "currency": shop["currency"]}
        add_carrier_rule(given | read, by=owner, at=at)


def _staff(shop: dict[str, Any]) -> tuple[User, User]:
    owner = _member(shop["owner"], "owner", OWNER_PASSWORD, User.Role.OWNER)
    return owner, _member(shop["helper"], "helper", HELPER_PASSWORD, User.Role.HELPER)


def _member(name: str, username: str, password: str, role: str) -> User:
    first, _, last = name.rpartition(" ")
    return User.objects.create_user(username, password=password, first_name=first, last_name=last, role=role)
