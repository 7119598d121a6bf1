"""`manage.py read_letters`: read all threads again, so that each is found by its words."""

from typing import Any

from django.core.management.base import BaseCommand

from inquiries.search.indexing import read_all


class Command(BaseCommand):
    """For letters that came in or were changed past the shop's own deeds, by hand in the database."""

    help = "Read every thread again, so that the desk finds it by what was said in it."

    def handle(self, *args: Any, **options: Any) -> None:
        """Read them, and say how many there are."""
        many = read_all()
        self.stdout.write(f"{many} thread{'' if many == 1 else 's'} read.")
