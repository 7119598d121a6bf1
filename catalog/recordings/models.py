"""Sound and film of an instrument: the file as received, played by the public; what the server makes beside it."""

from typing import Any

from django.conf import settings
from django.db import models

from catalog.instruments.models import Instrument
from catalog.pictures.models import Photograph, new_token


class Recording(models.Model):
    """One recording. Captions and chapters are WebVTT."""

    class What(models.TextChoices):
        SOUND = "sound", "Sound"
        FILM = "film", "Film"

    class State(models.TextChoices):
        WAITING = "waiting", "Being prepared"
        READY = "ready", "Ready"
        REFUSED = "refused", "Refused"
        OFF = "off", "Taken off"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="recordings")
    token = models.CharField(max_length=32, unique=True, default=new_token, editable=False)
    what = models.CharField("what it is", max_length=6, choices=What.choices)
    title = models.CharField("what is heard", max_length=200, blank=True, help_text="Shown to buyers.")
    original_name = models.CharField(max_length=255)
    sha256 = models.CharField(max_length=64)
    suffix = models.CharField(max_length=5)
    bytes = models.PositiveBigIntegerField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    refusal = models.CharField(max_length=300, blank=True)
    seconds = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True)
    peaks: Any = models.JSONField("waveform", default=list, blank=True)
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    poster = models.ForeignKey(
        Photograph,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="+",
        verbose_name="picture before it plays",
    )
    captions = models.TextField("captions (WebVTT)", blank=True)
    chapters = models.TextField("chapters (WebVTT)", blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    received_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "sha256"], name="recording_once"),
            models.CheckConstraint(
                condition=~models.Q(state="ready") | models.Q(seconds__isnull=False),
                name="ready_recording_has_length",
            ),
        ]

    def __str__(self) -> str:
        return self.title or self.original_name
