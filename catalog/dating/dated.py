"""A row with a date as a dealer types it, and beside it what that date names."""

from typing import Any

from django.db import models

from catalog.dating.reading import read_date


class Dated(models.Model):
    """`when` is what was typed; EDTF, first and last year follow from it whenever the row is saved.

    Saving raises catalog.dating.reading.UnreadableDate when it cannot be read, so a form reads it first.
    """

    when = models.CharField(
        max_length=80, blank=True, help_text="1927, c. 1950, 1931 to 1964, not before 1919."
    )
    when_edtf = models.CharField(max_length=80, blank=True, editable=False)
    when_earliest = models.SmallIntegerField(null=True, blank=True, editable=False)
    when_latest = models.SmallIntegerField(null=True, blank=True, editable=False)

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep the row with what its date names."""
        read = read_date(self.when) if self.when.strip() else None
        self.when_edtf = read.edtf if read else ""
        self.when_earliest = read.earliest if read else None
        self.when_latest = read.latest if read else None
        super().save(*args, **kwargs)
