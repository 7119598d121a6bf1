"""What dates an instrument: the shop's own tables of numbers and features, and the evidence on one piece."""

from django.conf import settings
from django.db import models

from catalog.dating.dated import Dated
from catalog.instruments.models import FoundNumber, Instrument, Maker, Model
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from catalog.striking.models import Strikeable
from shop.wording import gettext_lazy


class NumberTable(models.Model):
    """One source's table of a maker's numbers. A newer load of it retires the older one."""

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="number_tables")
    what = models.CharField(
        "which numbers", max_length=10, choices=FoundNumber.What.choices, default=FoundNumber.What.SERIAL
    )
    source = models.CharField(max_length=200, help_text="The book, ledger or article: author, title, year.")
    loaded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    loaded_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["maker__name", "what", "-loaded_at"]

    def __str__(self) -> str:
        return f"{self.maker}, {self.get_what_display().lower()}s: {self.source}"


class NumberRange(Dated):
    """One line of such a table: from the first number to the last, with what stands before the figures."""

    table = models.ForeignKey(NumberTable, on_delete=models.CASCADE, related_name="ranges")
    prefix = models.CharField(max_length=20, blank=True)
    first = models.PositiveBigIntegerField()
    last = models.PositiveBigIntegerField()
    page = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["prefix", "first"]
        constraints = [
            models.CheckConstraint(condition=models.Q(first__lte=models.F("last")), name="range_in_order"),
        ]

    def __str__(self) -> str:
        return f"{self.prefix}{self.first} to {self.prefix}{self.last}"


class Feature(Dated):
    """A feature with its years of use at a maker, or on one model; `when` is those years."""

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="features")
    model = models.ForeignKey(Model, null=True, blank=True, on_delete=models.CASCADE, related_name="features")
    name = models.CharField(max_length=120)
    source = models.CharField(max_length=200)
    page = models.CharField(max_length=40, blank=True)

    class Meta:
        verbose_name = "dated feature"
        ordering = ["when_earliest", "name"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(source=""), name="feature_has_source"),
            models.CheckConstraint(condition=~models.Q(when=""), name="feature_has_years"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.when}"


class DatingEvidence(Strikeable, Dated):
    """One piece of evidence on when an instrument was made. `when` is the span it gives; it may be struck off."""

    class Kind(models.TextChoices):
        NUMBER = "number", gettext_lazy("Number in a range")
        FEATURE = "feature", gettext_lazy("Feature with years of use")
        NOT_BEFORE = "not-before", gettext_lazy("Patent or label: not before")
        NOT_AFTER = "not-after", gettext_lazy("Paper: not after")
        HEARSAY = "hearsay", gettext_lazy("Hearsay")
        OTHER = "other", gettext_lazy("Other evidence")

    class Weight(models.TextChoices):
        FIRM = "firm", gettext_lazy("Firm")
        INDICATIVE = "indicative", gettext_lazy("Indicative")

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="dating")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    weight = models.CharField(max_length=10, choices=Weight.choices, default=Weight.FIRM)
    says = models.CharField(
        "what it is", max_length=300, help_text="Shown to buyers: Rim number 9173; two-way lugs."
    )
    source = models.CharField(
        max_length=200, blank=True, help_text="Where the years come from; shown to buyers."
    )
    number = models.ForeignKey(
        FoundNumber, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    found_in = models.ForeignKey(
        NumberRange,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="line of the table",
    )
    feature = models.ForeignKey(Feature, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    photograph = models.ForeignKey(
        Photograph, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    paper = models.ForeignKey(Paper, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField("private note", max_length=300, blank=True)

    class Meta:
        verbose_name = "dating evidence"
        ordering = ["pk"]
        constraints = [
            *Strikeable.Meta.constraints,
            models.CheckConstraint(condition=~models.Q(when=""), name="evidence_has_years"),
            models.CheckConstraint(
                condition=~models.Q(kind="hearsay") | models.Q(weight="indicative"),
                name="hearsay_is_indicative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.says}: {self.when}"
