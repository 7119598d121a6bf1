"""Who did what, when, from what to what: one row for each change, kept for good."""

from django.conf import settings
from django.db import models

from shop.facts import Fact


class Entry(Fact):
    """One change. `about` and `about_id` name the row it happened to; `by` is empty when the shop itself acted."""

    about = models.CharField(max_length=40)
    about_id = models.BigIntegerField()
    verb = models.CharField(max_length=60)
    field = models.CharField(max_length=60, blank=True)
    old = models.TextField(blank=True)
    new = models.TextField(blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField()

    class Meta:
        verbose_name = "history entry"
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["about", "about_id", "-at"], name="history_about")]

    def __str__(self) -> str:
        return f"{self.verb} {self.field}".strip()
