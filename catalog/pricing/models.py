"""What it cost, and from whom it came, for the owner's eyes; what it cost when it was new, for everybody's."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from catalog.instruments.models import Instrument, Model
from shop.facts import Fact


class Acquisition(models.Model):
    """How the instrument came to the shop."""

    class How(models.TextChoices):
        BOUGHT = "bought", "Bought"
        CONSIGNED = "consigned", "On consignment"

    instrument = models.OneToOneField(Instrument, on_delete=models.CASCADE, related_name="acquisition")
    how = models.CharField(max_length=10, choices=How.choices, default=How.BOUGHT)
    seller = models.CharField("seller or consignor", max_length=120)
    seller_contact = models.TextField("how to reach them", blank=True)
    on = models.DateField("date", help_text="The day it came into the shop's hands.")
    commission_percent = models.DecimalField(
        "commission, per cent",
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text="For a consigned piece: the share of the price that is yours.",
    )
    invoice_number = models.CharField(
        "number of the seller’s invoice", max_length=60, blank=True, help_text="For the stock book."
    )
    vat_charged = models.BooleanField(
        "the seller charged VAT on it",
        default=False,
        help_text="Then it cannot be sold under the margin scheme; normal VAT is due.",
    )
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(how="bought", commission_percent__isnull=True)
                | models.Q(how="consigned", commission_percent__isnull=False),
                name="commission_when_consigned",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_how_display()} from {self.seller}"


class Cost(Fact):
    """Money spent on the instrument. A mistake is reversed by a second row with the opposite amount."""

    class Kind(models.TextChoices):
        PURCHASE = "purchase", "Purchase"
        SHIPPING_IN = "shipping-in", "Shipping in"
        PARTS = "parts", "Parts"
        REPAIR = "repair", "Repair"
        SETUP = "setup", "Set-up"
        OTHER = "other", "Other"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="costs")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    currency = models.CharField(max_length=3)
    on = models.DateField("date")
    note = models.CharField(max_length=200, blank=True)
    entry = models.UUIDField(
        unique=True, null=True, blank=True, editable=False, help_text="One press of one form is one row."
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "cost row"
        ordering = ["on", "pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(amount=0), name="cost_not_zero")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount}"


class Agreement(Fact):
    """The terms on which a piece is on consignment, as agreed from a day on; a later row takes its place."""

    class Share(models.TextChoices):
        FLAT = "flat", "One rate for the whole price"
        TIERED = "tiered", "A rate for each part of the price"

    class Basis(models.TextChoices):
        GROSS = "gross", "The price as paid"
        NET = "net", "The price less the costs that the consignor bears"

    class Bears(models.TextChoices):
        SHOP = "shop", "The shop"
        CONSIGNOR = "consignor", "The consignor"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="agreements")
    share = models.CharField("how the commission is counted", max_length=6, choices=Share.choices)
    basis = models.CharField("counted on", max_length=5, choices=Basis.choices, default=Basis.GROSS)
    least = models.DecimalField(
        "least commission",
        max_digits=12,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0)],
        help_text="Nought: none.",
    )
    reserve = models.DecimalField(
        "not to be sold below",
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    currency = models.CharField(max_length=3)
    starts = models.DateField("from")
    ends = models.DateField("until", null=True, blank=True)
    repairs_by = models.CharField(
        "repairs and set-up are borne by", max_length=10, choices=Bears.choices, default=Bears.SHOP
    )
    shipping_in_by = models.CharField(
        "shipping to the shop is borne by", max_length=10, choices=Bears.choices, default=Bears.CONSIGNOR
    )
    payout_days = models.PositiveSmallIntegerField(
        "paid out within, in days", default=14, help_text="Counted from the end of the approval period."
    )
    note = models.CharField(max_length=300, blank=True)
    entry = models.UUIDField(unique=True, null=True, blank=True, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "consignment agreement"
        ordering = ["-starts", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends__isnull=True) | models.Q(ends__gte=models.F("starts")),
                name="agreement_in_order",
            ),
            models.CheckConstraint(
                condition=models.Q(least__gte=0), name="least_commission_not_below_nought"
            ),
        ]

    def __str__(self) -> str:
        return f"Agreement from {self.starts:%-d %B %Y}"


class AgreementTier(Fact):
    """A rate of commission on what of the price lies above an amount, up to the next tier. A flat rate is one tier."""

    agreement = models.ForeignKey(Agreement, on_delete=models.PROTECT, related_name="tiers")
    above = models.DecimalField(max_digits=12, decimal_places=2, default=0)
    percent = models.DecimalField(max_digits=5, decimal_places=2)

    class Meta:
        verbose_name = "tier of a commission"
        ordering = ["above"]
        constraints = [
            models.UniqueConstraint(fields=["agreement", "above"], name="one_tier_above"),
            models.CheckConstraint(
                condition=models.Q(percent__gte=0, percent__lte=100, above__gte=0), name="tier_in_bounds"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.percent.normalize():f} per cent above {self.above}"


class Work(models.Model):
    """A job of repair or set-up: what is done, by whom, from when to when; its cost is a cost row."""

    class Kind(models.TextChoices):
        REPAIR = "repair", "Repair"
        SETUP = "setup", "Set-up"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="works")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    what = models.CharField("what is to be done", max_length=300)
    who = models.CharField("who does it", max_length=120)
    begun_on = models.DateField("given on")
    done_on = models.DateField("came back on", null=True, blank=True)
    estimate = models.DecimalField(
        "estimated at",
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    outcome = models.CharField("what was done", max_length=300, blank=True)
    cost = models.OneToOneField(Cost, null=True, blank=True, on_delete=models.PROTECT, related_name="work")
    entry = models.UUIDField(unique=True, null=True, blank=True, editable=False)

    class Meta:
        verbose_name = "job of work"
        verbose_name_plural = "jobs of work"
        ordering = ["begun_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(done_on__isnull=True) | models.Q(done_on__gte=models.F("begun_on")),
                name="work_in_order",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.what}"


class PriceIndex(models.Model):
    """A consumer price index, one figure a year."""

    name = models.CharField(max_length=120, unique=True)
    currency = models.CharField(max_length=3, help_text="Three letters, as in ISO 4217.")
    source = models.CharField(max_length=300)
    loaded_at = models.DateTimeField()

    class Meta:
        verbose_name = "price index"
        ordering = ["currency", "name"]

    def __str__(self) -> str:
        return self.name


class IndexYear(models.Model):
    """The index of one year, as published: its average."""

    index = models.ForeignKey(PriceIndex, on_delete=models.CASCADE, related_name="years")
    year = models.PositiveSmallIntegerField()
    value = models.DecimalField(max_digits=12, decimal_places=4)

    class Meta:
        verbose_name = "year of an index"
        ordering = ["year"]
        constraints = [
            models.UniqueConstraint(fields=["index", "year"], name="index_year_once"),
            models.CheckConstraint(condition=models.Q(value__gt=0), name="index_above_nought"),
        ]

    def __str__(self) -> str:
        return f"{self.year}: {self.shown}"

    @property
    def shown(self) -> str:
        """The figure without idle noughts."""
        return f"{self.value.normalize():f}"


class ListPrice(models.Model):
    """What a model cost new in a year, by a price list."""

    model = models.ForeignKey(Model, on_delete=models.CASCADE, related_name="list_prices")
    year = models.PositiveSmallIntegerField()
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    currency = models.CharField(max_length=3, default="USD")
    what = models.CharField("for what", max_length=120, blank=True, help_text="Without case, gold-plated …")
    source = models.CharField(max_length=200, help_text="The catalogue or price list, with its year.")
    page = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["year", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount__gt=0), name="list_price_positive"),
            models.CheckConstraint(condition=~models.Q(source=""), name="list_price_has_source"),
        ]

    def __str__(self) -> str:
        return f"{self.year}: {self.amount} {self.currency}"
