"""Where the instrument has been."""

from django.db import models

from catalog.instruments.models import Instrument


class Provenance(models.Model):
    """One entry in an instrument's past. The private text never leaves the desk."""

    class Kind(models.TextChoices):
        MADE = "made", "Made"
        SOLD_NEW = "sold-new", "Sold new"
        OWNED = "owned", "Owned"
        DEALER = "dealer", "With a dealer"
        OUT_OF_SIGHT = "out-of-sight", "Out of sight"
        EXHIBITED = "exhibited", "Exhibited"
        REPAIRED = "repaired", "Repaired"
        FOUND = "found", "Found"

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="provenance")
    position = models.PositiveSmallIntegerField("order", default=0)
    when = models.CharField(max_length=80, help_text="1927, c. 1950, 1931 to 1964.")
    kind = models.CharField("what happened", max_length=14, choices=Kind.choices)
    public = models.CharField("for the public page", max_length=400, blank=True)
    private = models.CharField("private note", max_length=400, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"{self.when}: {self.get_kind_display()}"
