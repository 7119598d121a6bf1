"""`manage.py demo`: open the invented shop on this machine."""

import shutil
import sys
import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser
from django.db import connection

from shop.models import ShopProfile
from shop.serving import serve

ADDRESS = "127.0.0.1"


class Command(BaseCommand):
    """Make the database, load the invented shop, prepare its pictures, serve it."""

    help = "Open the invented shop on this machine. A second start keeps what you did; --fresh starts over."

    def add_arguments(self, parser: CommandParser) -> None:
        """Port, a fresh start, and whether to serve at all."""
        parser.add_argument("--port", type=int, default=8000, help="The port to listen on.")
        parser.add_argument(
            "--fresh", action="store_true", help="Throw the demo's data away and load it anew."
        )
        parser.add_argument("--load-only", action="store_true", help="Load the shop, and do not serve it.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare what is missing, say where to go, serve."""
        if options["fresh"]:
            self._step("Throwing the old demo away", self._forget)
        self._step("Making the database", lambda: call_command("migrate", verbosity=0))
        if not ShopProfile.objects.exists():
            self._load()
        self._step("Gathering static files", self._gather)
        if options["load_only"]:
            return
        self._greet(options["port"])
        connection.close()
        sys.exit(serve(address=ADDRESS, port=options["port"]))

    def _step(self, says: str, deed: Callable[[], object]) -> None:
        self.stdout.write(f"{says} …", ending=" ")
        self.stdout.flush()
        begun = time.monotonic()
        deed()
        self.stdout.write(f"done ({time.monotonic() - begun:.1f} s)")

    def _load(self) -> None:
        from demo_fixtures.load import load_shop  # the demo alone needs the invented shop

        begun = time.monotonic()
        load_shop(say=lambda line: self.stdout.write(f"  {line}"))
        self.stdout.write(f"The invented shop is loaded ({time.monotonic() - begun:.0f} s).")

    def _gather(self) -> None:
        call_command("collectstatic", verbosity=0, interactive=False, clear=True)

    def _forget(self) -> None:
        if connection.vendor == "sqlite":
            connection.close()
            for name in ("shop.sqlite3", "shop.sqlite3-wal", "shop.sqlite3-shm"):
                (settings.SHOP_DATA / name).unlink(missing_ok=True)
        else:
            with connection.cursor() as cursor:
                cursor.execute("DROP SCHEMA public CASCADE; CREATE SCHEMA public;")
        photographs = (settings.ORIGINALS_DIR, settings.PRINTS_DIR)
        recordings = (settings.RECORDINGS_DIR, settings.PLAYED_DIR)
        papers = (settings.RECEIVED_DIR, settings.PAPERS_DIR, settings.MAIL_DIR)
        for folder in (*photographs, *recordings, *papers):
            shutil.rmtree(folder, ignore_errors=True)

    def _greet(self, port: int) -> None:
        from demo_fixtures.load import LOG_INS

        home = f"http://{ADDRESS}:{port}/"
        self.stdout.write(f"\nThe shop window:  {home}\nThe desk:         {home}desk/")
        for role, name, password in LOG_INS:
            self.stdout.write(f"  {role:<7} {name}  /  {password}")
        self.stdout.write("\nStop with Ctrl-C. A second start keeps what you did; --fresh starts over.\n")
        self.stdout.flush()
