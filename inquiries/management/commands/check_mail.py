"""`manage.py check_mail [--send ADDRESS]`: what is wrong with the settings of mail, in sentences."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inquiries.mail.addresses import in_ascii
from inquiries.mail.checking import found
from inquiries.mail.composing import Letter, composed
from inquiries.mail.handing_over import End, hand_over
from inquiries.threads.sending import new_message_id
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop

TRIAL = "This letter was sent by manage.py check_mail, to try the mail settings of the shop. Nobody need answer it.\n"


class Command(BaseCommand):
    """Look at every setting of mail, going out and coming in; nothing is sent unless --send is given."""

    help = "Say in sentences what is wrong with the settings of mail. --send ADDRESS sends one trial letter."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where a trial letter goes."""
        parser.add_argument("--send", metavar="ADDRESS", help="send one trial letter to this address")

    def handle(self, *args: Any, **options: Any) -> None:
        """One line for each thing; exit code 1 when something is wrong."""
        shop = the_shop()
        wrong = 0
        for finding in found(shop.email):
            wrong += finding.wrong
            self.stdout.write(f"{'Wrong' if finding.wrong else 'Good'}: {finding.says}")
        if wrong:
            raise CommandError("Nothing was sent. Put right what is called wrong, and look again.")
        if options["send"]:
            self._send(shop, options["send"])

    def _send(self, shop: ShopProfile, address: str) -> None:
        try:
            wire = _trial(shop, address)
        except ValueError:
            raise CommandError(f"{address} is no e-mail address that mail can be sent to.") from None
        sender, recipient = in_ascii(shop.email), in_ascii(address)
        outcome = hand_over(wire.encode("ascii"), sender=sender, recipients=[recipient], mark=lambda: True)
        if outcome.end != End.WENT:
            raise CommandError(f"The trial letter to {address} did not go. {outcome.words}")
        self.stdout.write(
            f"Good: the mail server has taken a trial letter to {address}. Look whether it arrives."
        )


def _trial(shop: ShopProfile, address: str) -> str:
    return composed(
        Letter(
            message_id=new_message_id(),
            at=timezone.now().astimezone(shop.zone),
            from_name=shop.name,
            from_email=shop.email,
            to=address,
            reply_to=shop.email,
            subject="A trial letter",
            text=TRIAL,
        )
    )
