"""`manage.py worker`: do the work that waits, until told to stop."""

import signal
import threading
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from shop.jobs.worker import work
from shop.keeping import clear_away


class Command(BaseCommand):
    """Prepare photographs and recordings, send mail, end holds at their instant."""

    help = "Do the background work: photographs, mail, holds that end. `serve` and `demo` start it by themselves."

    def handle(self, *args: Any, **options: Any) -> None:
        """Work until SIGTERM or Ctrl-C; a job under way is finished first. Cut-off uploads are cleared away."""
        stop = threading.Event()
        for wanted in (signal.SIGTERM, signal.SIGINT):
            signal.signal(wanted, lambda number, frame: stop.set())
        for folder in (
            settings.ORIGINALS_DIR,
            settings.RECORDINGS_DIR,
            settings.RECEIVED_DIR,
            settings.MAIL_DIR,
        ):
            clear_away(folder, at=timezone.now())
        work(stop)
