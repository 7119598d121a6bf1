"""`manage.py audit [--tidy]`: prove that the books add up."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from inquiries.audit.actions import audit
from inquiries.audit.tidying import tidy


class Command(BaseCommand):
    """Each thing that is not in order, one a line; ends with 1 if there is any, with 0 if everything adds up."""

    help = (
        "Prove that ledgers, holds, stock book, numbers, files and copies agree with each other. It only reads, and "
        "may run while the shop is open."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Only look, or tidy as well."""
        parser.add_argument(
            "--tidy",
            action="store_true",
            help="remove files that nothing points at, older than an hour, naming each",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Go through the books, and say what was found."""
        if options["tidy"]:
            for name in tidy(at=timezone.now()):
                self.stdout.write(f"Removed, {name}")
        found = audit()
        for finding in found:
            self.stdout.write(str(finding))
        if found:
            self.stderr.write(f"{len(found)} not in order.")
            sys.exit(1)
        self.stdout.write("Everything adds up.")
