"""`manage.py serve`: open a real shop."""

import sys
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.readiness import faults
from shop.serving import serve


class Command(BaseCommand):
    """The site and the background worker in one command."""

    help = "Run the site and the background worker for a real shop."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to listen."""
        parser.add_argument("--address", default="127.0.0.1", help="The address to listen on.")
        parser.add_argument("--port", type=int, default=8000, help="The port to listen on.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Refuse with a sentence for each missing setting; else migrate, gather static files, serve."""
        found = faults()
        if found:
            raise CommandError("The shop cannot open yet.\n" + "\n".join(f"  · {fault}" for fault in found))
        call_command("migrate", verbosity=0)
        call_command("collectstatic", verbosity=0, interactive=False)
        self.stdout.write(f"Serving on http://{options['address']}:{options['port']}/ — stop with Ctrl-C.")
        sys.exit(serve(address=options["address"], port=options["port"]))
