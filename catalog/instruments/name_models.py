"""Who made it, and what they called it."""

from django.db import models
from django.db.models import Q
from django.utils.text import slugify


class Maker(models.Model):
    """Who made instruments."""

    name = models.CharField(max_length=120, unique=True)
    town = models.CharField(max_length=120, blank=True)
    years = models.CharField("years of work", max_length=60, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def slug(self) -> str:
        """The name as it stands in addresses."""
        return slugify(self.name)


class Model(models.Model):
    """A maker's model."""

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="models")
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["maker", "name"], name="model_once_a_maker")]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class FormerName(models.Model):
    """A maker or a model as it once stood in addresses: its old address leads to the new one."""

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="former_names")
    model = models.ForeignKey(
        Model, null=True, blank=True, on_delete=models.CASCADE, related_name="former_names"
    )
    slug = models.SlugField(max_length=120)

    class Meta:
        verbose_name = "former name"
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "slug"], condition=Q(model__isnull=True), name="former_maker_once"
            ),
            models.UniqueConstraint(
                fields=["model", "slug"], condition=Q(model__isnull=False), name="former_model_once"
            ),
        ]

    def __str__(self) -> str:
        return self.slug
