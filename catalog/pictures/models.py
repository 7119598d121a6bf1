"""Photographs: the original as received and private, the prints made from it public."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from catalog.instruments.models import Instrument, View
from shop.wording import gettext as _
from shop.wording import shipped


class PhotographQuerySet(models.QuerySet["Photograph"]):
    """Photographs by how far the worker has got."""

    def ready(self) -> "PhotographQuerySet":
        """Those whose prints can be shown, lead picture first, then in the dealer's order."""
        return self.filter(state="ready").order_by("-lead", "position", "pk")


def new_token() -> str:
    """An address for the prints that tells nothing about the original."""
    return uuid.uuid4().hex


class Photograph(models.Model):
    """One photograph of an instrument."""

    class State(models.TextChoices):
        WAITING = "waiting", "Being prepared"
        READY = "ready", "Ready"
        REFUSED = "refused", "Refused"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="photographs")
    token = models.CharField(max_length=32, unique=True, default=new_token, editable=False)
    original_name = models.CharField(max_length=255)
    sha256 = models.CharField(max_length=64)
    suffix = models.CharField(max_length=5)
    bytes = models.PositiveBigIntegerField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    refusal = models.CharField(max_length=300, blank=True)
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    widths: Any = models.JSONField(default=list, blank=True)
    view = models.ForeignKey(
        View,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="which view it shows",
    )
    caption = models.CharField(max_length=200, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    lead = models.BooleanField("lead picture", default=False)
    received_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()

    objects = PhotographQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "sha256"], name="photograph_once"),
            models.UniqueConstraint(
                fields=["instrument"], condition=Q(lead=True), name="one_lead_photograph"
            ),
            models.CheckConstraint(
                condition=~Q(state="ready") | Q(width__isnull=False, height__isnull=False),
                name="ready_photograph_has_size",
            ),
        ]

    def __str__(self) -> str:
        return self.caption or (self.view.name if self.view else self.original_name)

    @property
    def alt(self) -> str:
        """What a person who cannot see the picture is told."""
        return self.caption or (shipped(self.view.name) if self.view else _("Photograph"))

    def address(self, width: int, suffix: str) -> str:
        """Where a print is served; suffix is avif, webp or jpg."""
        return reverse("picture", args=[self.token, width, suffix])

    @property
    def largest(self) -> int:
        """The widest print, in pixels."""
        return int(self.widths[-1])

    def height_at(self, width: int) -> int:
        """The height of the print of that width, in pixels."""
        return round(width * (self.height or 0) / (self.width or 1)) or 1
