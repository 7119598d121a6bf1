"""A piece that comes back: what the buyer said, and what was found when it was looked at."""

from django.conf import settings
from django.db import models

from catalog.models import Photograph
from inquiries.sales.models import Sale
from shop.facts import Fact


class ReturnCall(Fact):
    """The buyer sends it back, and said so within the approval period, or later for a reason that is written.

    Of a parcel that was never delivered: the buyer refused it, or the carrier returns it.
    """

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="return_calls")
    said_at = models.DateTimeField("said so")
    why = models.CharField("what the buyer says", max_length=500)
    late_reason = models.CharField("why it is taken back though late", max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "word of a return"
        verbose_name_plural = "words of returns"
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"Comes back: {self.why}"


class ReturnDropped(Fact):
    """The buyer keeps it after all."""

    call = models.OneToOneField(ReturnCall, on_delete=models.PROTECT, related_name="dropped")
    why = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "return dropped"

    def __str__(self) -> str:
        return f"Kept after all: {self.why}"


class Inspection(Fact):
    """The piece is back and was compared with its record and with the photographs that were sent."""

    class Verdict(models.TextChoices):
        AS_SENT = "as-sent", "As it was sent"
        DIFFERS = "differs", "Not as it was sent"

    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="inspection")
    came_at = models.DateTimeField("came back")
    verdict = models.CharField(max_length=8, choices=Verdict.choices)
    note = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "inspection of a return"

    def __str__(self) -> str:
        return self.get_verdict_display()


class InspectionLine(Fact):
    """One part or one view, compared."""

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="lines")
    what = models.CharField("part or view", max_length=120)
    recorded = models.CharField("as recorded", max_length=300, blank=True)
    photograph = models.ForeignKey(
        Photograph, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    alike = models.BooleanField()
    note = models.CharField("what differs", max_length=300, blank=True)

    class Meta:
        verbose_name = "line of an inspection"
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(alike=True) | ~models.Q(note=""), name="difference_is_told"
            )
        ]

    def __str__(self) -> str:
        return f"{self.what}: {'as recorded' if self.alike else self.note}"
