"""`manage.py shelve`: make the catalogue's shelf again from the records."""

from typing import Any

from django.core.management.base import BaseCommand

from catalog.search.shelving import refill


class Command(BaseCommand):
    """For records that were changed past the shop's own deeds, by hand in the database."""

    help = "Read every listed piece again, so that the catalogue finds it by what its page says now."

    def handle(self, *args: Any, **options: Any) -> None:
        """Fill the shelf, and say how many pieces stand on it."""
        many = refill()
        self.stdout.write(f"{many} piece{'' if many == 1 else 's'} on the shelf.")
