"""Part by part: what is original, what is not, and how we know."""

from django.conf import settings
from django.db import models

from catalog.instruments.models import Instrument, Part


class Finding(models.Model):
    """What was found about one part. A part without a finding has not been examined."""

    class State(models.TextChoices):
        ORIGINAL = "original", "Original"
        PERIOD = "period", "Period-correct replacement"
        LATER = "later", "Later replacement"
        REPRODUCTION = "reproduction", "Reproduction"
        REPAIRED = "repaired", "Original, repaired"
        REFINISHED = "refinished", "Refinished or re-plated"
        MISSING = "missing", "Missing"
        NOT_EXAMINED = "not-examined", "Not examined"
        UNKNOWN = "unknown", "Unknown"

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="findings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=14, choices=State.choices)
    evidence = models.CharField("how we know", max_length=300, blank=True)
    note = models.CharField("note for the buyer", max_length=300, blank=True)
    examined_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    examined_at = models.DateTimeField()

    class Meta:
        ordering = ["part__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "part"], name="one_finding_a_part"),
            models.CheckConstraint(
                condition=models.Q(state__in=["not-examined", "unknown", "missing"]) | ~models.Q(evidence=""),
                name="finding_has_evidence",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.get_state_display()}"
