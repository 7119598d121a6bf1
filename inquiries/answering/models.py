"""The dealer's own phrases, and private links to full-size pictures."""

from django.conf import settings
from django.db import models

from catalog.models import Instrument, Photograph
from inquiries.threads.models import Inquiry


class SavedPhrase(models.Model):
    """A piece of text that is used again; what stands in braces is filled in from the record."""

    title = models.CharField("name of the phrase", max_length=80, unique=True)
    text = models.TextField(help_text="What stands in braces is filled in: {name}, {piece}, {price}.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()

    class Meta:
        verbose_name = "saved phrase"
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class PictureLink(models.Model):
    """A private address for full-size pictures of one piece, good until it expires or is taken back.

    Only the hash of its token is kept: whoever reads the database cannot open it.
    """

    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="picture_links")
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="+")
    photographs = models.ManyToManyField(Photograph, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    until = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)
    opened = models.PositiveIntegerField("times opened", default=0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "picture link"
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(made_at__lt=models.F("until")), name="picture_link_has_a_span"
            )
        ]

    def __str__(self) -> str:
        return f"Pictures of {self.instrument}"
