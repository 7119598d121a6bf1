"""The speaker's sheet: what the dealer changed in the lines that the record gives."""

from django.db import models

from catalog.instruments.models import Instrument


class SpokenLine(models.Model):
    """One line's own place and words; a line without a row stands as the record gives it."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="spoken_lines")
    key = models.SlugField(max_length=40)
    position = models.PositiveSmallIntegerField()
    words = models.TextField(blank=True, help_text="Empty: as the record gives it.")
    from_record = models.TextField(
        blank=True, editable=False, help_text="What the record gave when the words were written."
    )
    left_out = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["instrument", "key"], name="spoken_once")]

    def __str__(self) -> str:
        return self.key
