"""First call: those who asked for such a piece hear of it before everybody else."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from catalog.models import Instrument
from inquiries.people.models import Want
from inquiries.threads.models import Message


class FirstCall(models.Model):
    """A piece that is ready is told to those who seek such a one, for some hours, before it is published."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="first_calls")
    hours = models.PositiveSmallIntegerField("hours for each person")
    one_at_a_time = models.BooleanField("one at a time", default=True)
    opened_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "first call"
        ordering = ["-opened_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["instrument"], condition=Q(ended_at__isnull=True), name="one_open_first_call"
            ),
            models.CheckConstraint(condition=Q(hours__gt=0), name="first_call_has_hours"),
        ]

    def __str__(self) -> str:
        return f"First call for {self.instrument}"


class Call(models.Model):
    """One person's turn in a first call: told when, until when it is theirs, and what they said."""

    class Said(models.TextChoices):
        NOT_TOLD = "not-told", "Not told yet"
        NOTHING = "nothing", "Told, no word yet"
        YES = "yes", "Wants it"
        NO = "no", "Does not want it"
        LAPSED = "lapsed", "Let the time go by"
        PASSED = "passed", "Passed over"

    first_call = models.ForeignKey(FirstCall, on_delete=models.PROTECT, related_name="calls")
    want = models.ForeignKey(Want, on_delete=models.PROTECT, related_name="calls")
    position = models.PositiveSmallIntegerField()
    reasons = models.TextField("why it meets the wish")
    said = models.CharField(max_length=8, choices=Said.choices, default=Said.NOT_TOLD)
    told_at = models.DateTimeField(null=True, blank=True)
    until = models.DateTimeField(null=True, blank=True)
    said_at = models.DateTimeField(null=True, blank=True)
    message = models.ForeignKey(Message, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["first_call", "want"], name="called_once"),
            models.UniqueConstraint(fields=["first_call", "position"], name="one_call_at_a_place"),
            models.CheckConstraint(
                condition=Q(told_at__isnull=True, until__isnull=True) | Q(told_at__lt=models.F("until")),
                name="call_span_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.want.contact}: {self.get_said_display()}"
