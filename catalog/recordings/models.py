"""Sound and film of an instrument: the file as received, played by the public; what the server makes beside it."""

from typing import Any

from django.conf import settings
from django.db import models
from django.urls import reverse

from catalog.instruments.models import Instrument
from catalog.pictures.models import Photograph, new_token
from catalog.recordings.rules import spoken_length
from shop.wording import gettext_lazy as _

# A camera's QuickTime film is the same container as MP4 under an older name; it is played under the newer one.
PLAYED_AS = {"mov": "mp4"}
POSTER = "webp"  # a player takes one poster only, and every browser of these years shows this form


class RecordingQuerySet(models.QuerySet["Recording"]):
    """Recordings by how far the worker has got."""

    def ready(self) -> "RecordingQuerySet":
        """Those that can be played, in the dealer's order, each with its poster."""
        return self.filter(state="ready").select_related("poster")


class Recording(models.Model):
    """One recording. Captions and chapters are WebVTT."""

    class What(models.TextChoices):
        SOUND = "sound", _("Sound")
        FILM = "film", _("Film")

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

    objects = RecordingQuerySet.as_manager()

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

    @property
    def film(self) -> bool:
        """Whether there is something to be seen."""
        return self.what == self.What.FILM

    @property
    def played_suffix(self) -> str:
        """The ending under which it is served."""
        return PLAYED_AS.get(self.suffix, self.suffix)

    @property
    def address(self) -> str:
        """Where it is served to be played."""
        return reverse("recording", args=[self.token, self.played_suffix])

    @property
    def milliseconds(self) -> int:
        """How long it lasts; 0 while nobody knows."""
        return int((self.seconds or 0) * 1000)

    @property
    def length(self) -> str:
        """How long it lasts, in words; "" while nobody knows."""
        return "" if self.seconds is None else spoken_length(self.seconds)

    @property
    def poster_address(self) -> str:
        """The picture before a film plays: the photograph chosen, or a frame of the film; "" for sound."""
        if not self.film:
            return ""
        chosen = self.poster
        if chosen is not None and chosen.state == Photograph.State.READY:
            return chosen.address(min(chosen.widths, key=lambda width: abs(int(width) - 800)), POSTER)
        return reverse("recording-poster", args=[self.token, POSTER])
