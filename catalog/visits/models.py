"""How often a listing was looked at: counts by day and by the host that sent the visitor, nothing about the visitor."""

from django.db import models

from catalog.instruments.models import Instrument


class DayOfViews(models.Model):
    """The views of one listing on one day, from one host ("" when the visitor came from nowhere we may know)."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="days_of_views")
    day = models.DateField()
    host = models.CharField("came from", max_length=253, blank=True)
    views = models.PositiveIntegerField()

    class Meta:
        verbose_name = "day of views"
        ordering = ["-day", "host"]
        constraints = [models.UniqueConstraint(fields=["instrument", "day", "host"], name="views_once_a_day")]

    def __str__(self) -> str:
        return f"{self.day}: {self.views}"
