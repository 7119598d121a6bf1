"""`manage.py fetch_mail [--watch]`: look into the mailbox, once or as long as it runs."""

import signal
import threading
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from inquiries.mail.fetching import fetch, is_set, watch
from inquiries.mail.models import ReceivedMail

NOT_SET = (
    "No mailbox is set. Set SHOP_INBOX_HOST, SHOP_INBOX_USER and SHOP_INBOX_PASSWORD, or SHOP_INBOX_MAILDIR; "
    "README.md names them all."
)
NOT_TO_WATCH = (
    "Only a mailbox read by IMAP can be watched: set SHOP_INBOX_HOST. A maildir is read each minute."
)


class Command(BaseCommand):
    """Take mail in now; with --watch the server tells of new mail the moment it comes (IDLE)."""

    help = (
        "Take in what is new in the mailbox. The worker does this each minute; --watch takes it in at once."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Once, or on and on."""
        parser.add_argument("--watch", action="store_true", help="stay, and take mail in the moment it comes")

    def handle(self, *args: Any, **options: Any) -> None:
        """Take in, and say how much and what is wrong."""
        if not is_set():
            raise CommandError(NOT_SET)
        if options["watch"]:
            self._watch()
            return
        before = ReceivedMail.objects.count()
        troubles = fetch()
        self.stdout.write(f"New messages: {ReceivedMail.objects.count() - before}")
        if troubles:
            raise CommandError("\n".join(troubles))

    def _watch(self) -> None:
        if not settings.INBOX_HOST:
            raise CommandError(NOT_TO_WATCH)
        stop = threading.Event()
        for wanted in (signal.SIGTERM, signal.SIGINT):
            signal.signal(wanted, lambda number, frame: stop.set())
        watch(stop, tell=self.stderr.write)
