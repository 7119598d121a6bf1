"""The people who work at the desk."""

from django.contrib.auth.models import AbstractUser
from django.db import models


class User(AbstractUser):
    """Someone with a log-in: the owner, who sees everything, or a helper, who does the daily work."""

    class Role(models.TextChoices):
        OWNER = "owner", "Owner"
        HELPER = "helper", "Helper"

    role = models.CharField(
        max_length=10,
        choices=Role.choices,
        default=Role.HELPER,
        help_text="A helper never sees costs, sellers, floor prices or the month's figures.",
    )

    class Meta:
        verbose_name = "member of staff"
        verbose_name_plural = "staff"

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def is_owner(self) -> bool:
        """Whether this person may see costs, sellers, floors and the month."""
        return self.is_active and self.role == self.Role.OWNER
