"""Numbers that run on without a gap."""

from django.db import models


class Series(models.Model):
    """The last number given in a series, such as `stock` or `sale 2026`."""

    name = models.CharField(max_length=40, primary_key=True)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "series"

    def __str__(self) -> str:
        return f"{self.name}: {self.last}"
