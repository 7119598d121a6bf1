"""Kinds and their sheets: what is examined, measured and shown of an instrument of that kind."""

from django.db import models


class Kind(models.Model):
    """A kind of instrument. Its sheet says which parts, measurements and views belong to it."""

    slug = models.SlugField("short name in addresses", unique=True)
    name = models.CharField(max_length=60)
    plural = models.CharField(max_length=60)
    position = models.PositiveSmallIntegerField("place in the list", default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class SheetRow(models.Model):
    """A line on a kind's sheet."""

    slug = models.SlugField()
    name = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class Configuration(SheetRow):
    """How a kind can be set out: five-string, tenor, plectrum …"""

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="configurations")

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="configuration_once_a_kind")]


class Part(SheetRow):
    """A part to examine. Parts with children are headings; the leaves are examined."""

    class Role(models.TextChoices):
        NONE = "", "Any other part"
        BODY = "body", "Body"
        NECK = "neck", "Neck"
        FINISH = "finish", "Finish"
        CASE = "case", "Case"

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="parts")
    role = models.CharField(
        "counts as",
        max_length=6,
        choices=Role.choices,
        blank=True,
        default="",
        help_text="The word on the whole instrument follows from its body, its neck and its finish.",
    )
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.CASCADE, related_name="children"
    )

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="part_once_a_kind")]


class Measure(SheetRow):
    """A measurement that a buyer of this kind expects."""

    class Quantity(models.TextChoices):
        LENGTH = "length", "Length (inches or millimetres)"
        MASS = "mass", "Weight (pounds or grams)"
        COUNT = "count", "Count"
        CHOICE = "choice", "One of a list"

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="measures")
    quantity = models.CharField("what is measured", max_length=10, choices=Quantity.choices)
    choices = models.JSONField(default=list, blank=True)

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="measure_once_a_kind")]


class View(SheetRow):
    """A picture that a buyer of this kind expects to see."""

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="views")
    required = models.BooleanField("needed before publishing", default=False)

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="view_once_a_kind")]
