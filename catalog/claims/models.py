"""Words that claim something, and what the dealer answered when one was questioned."""

from django.conf import settings
from django.db import models

from catalog.instruments.models import Instrument
from shop.facts import Fact


class ClaimWord(models.Model):
    """Words that make a claim when they stand in a description. The list is the owner's."""

    claim = models.CharField(max_length=30)
    words = models.CharField(
        max_length=80, help_text="As they stand in a text; a * ends a word that may go on."
    )

    class Meta:
        verbose_name = "claim words"
        ordering = ["claim", "words"]
        constraints = [models.UniqueConstraint(fields=["claim", "words"], name="claim_words_once")]

    def __str__(self) -> str:
        return self.words


class ClaimAnswer(Fact):
    """Why a questioned claim may stand in that sentence: it is none, or a named source carries it."""

    class How(models.TextChoices):
        FALSE_ALARM = "false-alarm", "It claims no such thing"
        SOURCE = "source", "A named source says so"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="claim_answers")
    claim = models.CharField(max_length=30)
    sentence = models.TextField()
    how = models.CharField(max_length=12, choices=How.choices)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "answer to a claim"
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(reason=""), name="answer_has_reason")]

    def __str__(self) -> str:
        return f"{self.claim}: {self.reason}"
