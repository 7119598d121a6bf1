"""What an instrument is made of: the list of materials, and which of them a part is made of."""

from django.db import models
from django.db.models import Q

from catalog.dating.dated import Dated
from catalog.instruments.models import Instrument, Part
from catalog.originality.models import Finding


class Material(models.Model):
    """A material by its name in the trade, with what it can be by its scientific names, and who says so."""

    class Sort(models.TextChoices):
        PLANT = "plant", "Plant"
        ANIMAL = "animal", "Wild animal"
        OTHER = "other", "Livestock, metal, plastic and the like"

    name = models.CharField(max_length=80)
    species = models.CharField(
        "scientific names",
        max_length=300,
        blank=True,
        help_text="Several with commas between when it can be any of them. A genus alone stands for all its species.",
    )
    sort = models.CharField("what it comes from", max_length=8, choices=Sort.choices)
    source = models.CharField("who says so", max_length=200)
    note = models.CharField(max_length=200, blank=True)
    added_on = models.DateField("taken into the list on")
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["sort", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"], condition=Q(retired_at__isnull=True), name="material_once_in_use"
            ),
            models.CheckConstraint(condition=~Q(source=""), name="material_has_source"),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.species})" if self.species else self.name

    @property
    def can_be(self) -> tuple[str, ...]:
        """Every scientific name it can have."""
        return tuple(name.strip() for name in self.species.split(",") if name.strip())


class PartMaterial(Dated):
    """One material of one part. `when` is when it was taken from nature, by when at the latest; it stays private."""

    class Origin(models.TextChoices):
        UNKNOWN = "unknown", "Not known where from"
        WILD = "wild", "From the wild"
        GROWN = "grown", "Planted or bred"
        PRE_CONVENTION = "pre-convention", "Said to be pre-Convention"

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="materials")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")
    origin = models.CharField(
        "where it is from", max_length=14, choices=Origin.choices, default=Origin.UNKNOWN
    )
    fitted = models.CharField("put on, if later than the make", max_length=80, blank=True)
    seen = models.CharField("how it was seen", max_length=12, choices=Finding.Seen.choices, blank=True)
    evidence = models.CharField("how we know", max_length=300, blank=True)
    note = models.CharField("private note", max_length=300, blank=True)

    class Meta:
        verbose_name = "material of a part"
        ordering = ["part__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "part", "material"], name="material_once_a_part")
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.material.name}"
