"""What the invented shop knows of its people beyond their questions, and one who came twice under two addresses."""

from datetime import timedelta
from typing import Any

from demo_fixtures.clock import Clock
from inquiries.desk.actions import Caller, note_call
from inquiries.models import Contact, PostalAddress
from inquiries.people.actions import add_email, change_contact, keep_place, note_owned
from inquiries.people.queries import known_by
from shop.models import User

PLAIN = ("languages", "reach_by", "note", "resale_certificate", "resale_state")
HOUR = 10


def load_people(people: dict[str, Any], *, helper: User, clock: Clock) -> None:
    """Keep what is known of each, and take down the callers."""
    for said in people["known"]:
        contact = known_by(said["email"])
        if contact is not None:
            _know(contact, said, helper=helper, clock=clock)
    for number, caller in enumerate(people["callers"]):
        note_call(
            None,
            caller["matter"],
            Caller(caller["name"], caller["email"]),
            caller["text"],
            channel="telephone",
            entry=f"{number:032x}",
            by=helper,
            at=clock.at(caller["days_ago"], HOUR),
        )


def _know(contact: Contact, said: dict[str, Any], *, helper: User, clock: Clock) -> None:
    at = clock.at(1, HOUR)
    given: dict[str, Any] = {name: said[name] for name in PLAIN if name in said}
    if "resale_days" in said:
        given["resale_until"] = (clock.now + timedelta(days=said["resale_days"])).date()
    change_contact(contact, given, by=helper, at=at)
    for email in said.get("emails", []):
        add_email(contact, email, by=helper, at=at)
    for place in said.get("places", []):
        written = {**place, "lines": "\n".join(place["lines"])}
        keep_place(PostalAddress(contact=contact), written, by=helper, at=at)
    for owned in said.get("owns", []):
        note_owned(contact, owned["what"], owned["note"], by=helper, at=at)
