"""`manage.py backup FOLDER`: copy what cannot be made again."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.backup.actions import back_up
from shop.refusal import Refused


class Command(BaseCommand):
    """The database, the originals, the recordings, the papers received and made, while the site runs."""

    help = "Copy the database, the original photographs, the recordings and the papers into a folder."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to."""
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Copy, and say what was copied."""
        try:
            for line in back_up(options["folder"]):
                self.stdout.write(line)
        except Refused as refused:
            raise CommandError(refused.message) from refused
