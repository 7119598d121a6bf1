"""Where the instrument has been."""

from django.db import models

from catalog.dating.dated import Dated
from catalog.instruments.models import Instrument
from catalog.papers.models import Paper
from catalog.striking.models import Strikeable
from shop.wording import gettext_lazy


class Provenance(Strikeable, Dated):
    """One entry in an instrument's past, which may be struck off.

    The private text never leaves the desk; a name does by consent alone.
    """

    class Kind(models.TextChoices):
        MADE = "made", gettext_lazy("Made")
        SOLD_NEW = "sold-new", gettext_lazy("Sold new")
        OWNED = "owned", gettext_lazy("Owned")
        DEALER = "dealer", gettext_lazy("With a dealer")
        OUT_OF_SIGHT = "out-of-sight", gettext_lazy("Out of sight")
        EXHIBITED = "exhibited", gettext_lazy("Exhibited")
        REPAIRED = "repaired", gettext_lazy("Repaired")
        FOUND = "found", gettext_lazy("Found")

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="provenance")
    position = models.PositiveSmallIntegerField("order", default=0)
    kind = models.CharField("what happened", max_length=14, choices=Kind.choices)
    public = models.CharField("for the public page", max_length=400, blank=True)
    private = models.CharField("private note", max_length=400, blank=True)
    person = models.CharField(
        "who", max_length=120, blank=True, help_text="Stays at the desk unless that person has agreed."
    )
    consent_on = models.DateField("agreed on", null=True, blank=True)
    consent_how = models.CharField(
        "how they agreed",
        max_length=200,
        blank=True,
        help_text="By letter, by e-mail … Never leaves the desk.",
    )
    paper = models.ForeignKey(Paper, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "entry of the provenance"
        ordering = ["position", "pk"]
        constraints = [
            *Strikeable.Meta.constraints,
            models.CheckConstraint(
                condition=models.Q(consent_on__isnull=True, consent_how="")
                | models.Q(consent_on__isnull=False) & ~models.Q(consent_how="") & ~models.Q(person=""),
                name="consent_is_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.when}: {self.get_kind_display()}"
