"""The mail that came to the invented shop, each one taken in as a mailbox would have given it."""

from base64 import encodebytes
from datetime import datetime
from email.utils import format_datetime
from pathlib import Path
from typing import Any

from catalog.models import Instrument
from demo_fixtures.clock import Clock
from demo_fixtures.draw import plate_from, render
from inquiries.mail.actions import open_from, take_in
from inquiries.mail.addresses import reply_address
from inquiries.mail.models import Attachment
from inquiries.mail.tasks import prepare_picture
from inquiries.models import Inquiry, Message
from shop.models import Job, User
from shop.profile.queries import the_shop

FOLDER = Path(__file__).resolve().parent / "letters"
Came = dict[str, Any]


def load_letters(letters: list[Came], *, helper: User, clock: Clock) -> None:
    """Take each in at its own instant; a buyer's first one opens a thread, by the helper's press."""
    for letter in letters:
        at = clock.at(letter["days_ago"], letter["hour"])
        mail = take_in(_written(letter, at), at=at)
        if opens := letter.get("opens"):
            piece = Instrument.objects.get(stock=opens["stock"])
            pressed = clock.at(letter["days_ago"], opens["hour"])
            open_from(mail, name=opens["name"], instrument=piece, by=helper, at=pressed)
    _prepare_pictures(clock.now)


def _written(letter: Came, at: datetime) -> bytes:
    """The file with its places filled: when, to whom, in answer to what."""
    text = (FOLDER / f"{letter['file']}.eml").read_text(encoding="utf-8")
    places = {"date": format_datetime(at), "shop": the_shop().email}
    if answers := letter.get("answers"):
        places |= _answered(answers)
    if picture := letter.get("picture"):
        drawn = render(plate_from(picture["plate"]), picture["view"])
        places["picture"] = encodebytes(drawn).decode("ascii")
    for name, value in places.items():
        text = text.replace("{{" + name + "}}", value)
    return text.encode()


def _answered(answers: Came) -> dict[str, str]:
    """What a mail program writes into an answer: the address to answer to, and our last words with their mark."""
    about = {"instrument__stock": answers["stock"]} if "stock" in answers else {"matter": answers["matter"]}
    thread = Inquiry.objects.filter(contact__email=answers["email"], **about).latest("opened_at", "pk")
    places = {"signed": reply_address(thread.pk, the_shop().email)}
    ours = Message.objects.filter(inquiry=thread, ours=True).order_by("at", "pk").last()
    if ours is None:
        return places
    return places | {
        "ours": ours.message_id,
        "attribution": f"On {ours.at:%d %B %Y}, {the_shop().name} wrote:",
        "quoted": "\n".join(f"> {line}".rstrip() for line in ours.body.splitlines()),
    }


def _prepare_pictures(now: datetime) -> None:
    """The worker's part, at once."""
    for attachment in Attachment.objects.filter(prints=Attachment.Prints.WAITING):
        finish = prepare_picture.function(attachment=attachment.pk)
        if finish is not None:
            finish(now)
    Job.objects.filter(task=prepare_picture.name).delete()
