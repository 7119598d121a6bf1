"""`manage.py owner NAME`: give the owner a log-in."""

import sys
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from shop.history.actions import record
from shop.models import User


class Command(BaseCommand):
    """The first log-in of a new shop, or a new password for an owner who forgot theirs."""

    help = "Give the owner a log-in, or a new password. It is asked for, or read from standard input."

    def add_arguments(self, parser: CommandParser) -> None:
        """The log-in name."""
        parser.add_argument("name")

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask, check, keep."""
        owner, new = User.objects.get_or_create(username=options["name"], defaults={"role": User.Role.OWNER})
        if not owner.is_owner:
            raise CommandError(f"{owner.username} is a helper. Choose another name for the owner.")
        password = getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
        try:
            validate_password(password, owner)
        except ValidationError as problem:
            if new:
                owner.delete()
            raise CommandError(" ".join(problem.messages)) from problem
        owner.set_password(password)
        owner.save(update_fields=["password"])
        record(owner, "password set", by=None, at=timezone.now())
        self.stdout.write(f"{owner.username} can log in as the owner.")
