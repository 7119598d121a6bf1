"""What is usual on a model, with its sources; what was seen on a piece; what is unusual about it."""

from django.conf import settings
from django.db import models

from catalog.dating.dated import Dated
from catalog.instruments.models import Instrument, Measure, Model
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from shop.wording import gettext_lazy as _


class UsualFeature(Dated):
    """One thing that is usual on a model, in the years `when` (always, when that is empty)."""

    model = models.ForeignKey(Model, on_delete=models.CASCADE, related_name="usual")
    what = models.CharField("what it concerns", max_length=80, help_text="Tailpiece, rim, scale length …")
    measure = models.ForeignKey(
        Measure,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text="When it can be measured: the record’s own measurement is compared.",
    )
    value = models.CharField(
        "what is usual", max_length=120, help_text="26 1/4 in, or 26 to 26 1/2 in; or in words."
    )
    source = models.CharField(max_length=200)
    page = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["model", "what", "pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(source=""), name="usual_has_source")]

    def __str__(self) -> str:
        return f"{self.what}: {self.value}"


class SeenFeature(models.Model):
    """What was seen on one instrument, by the model’s own list."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="seen_features")
    what = models.CharField("what it concerns", max_length=80)
    value = models.CharField("what was seen", max_length=120)

    class Meta:
        ordering = ["what"]
        constraints = [models.UniqueConstraint(fields=["instrument", "what"], name="seen_once")]

    def __str__(self) -> str:
        return f"{self.what}: {self.value}"


class Unusual(models.Model):
    """What the dealer makes of a difference. It speaks of `seen` as it stood: another value is another question."""

    class Verdict(models.TextChoices):
        FACTORY = "factory", _("Factory work")
        LATER = "later", _("Later work")
        UNKNOWN = "unknown", _("Not known which")

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="unusual")
    what = models.CharField("what it concerns", max_length=80)
    seen = models.CharField("what was seen", max_length=120)
    verdict = models.CharField(max_length=8, choices=Verdict.choices)
    evidence = models.CharField("how we know", max_length=300, blank=True)
    photograph = models.ForeignKey(
        Photograph, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    paper = models.ForeignKey(Paper, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "unusual feature"
        ordering = ["what"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "what"], name="unusual_once"),
            models.CheckConstraint(
                condition=models.Q(verdict="unknown") | ~models.Q(evidence=""), name="unusual_has_evidence"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what}: {self.seen}"
