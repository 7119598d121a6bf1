"""The shop's own rates and its policy, in dated rows: a row is never changed, a later one takes its place."""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inquiries.sales.ledger_models import LedgerRow
from inquiries.tax import rules
from shop.facts import Fact


class TaxRate(Fact):
    """The rate of one jurisdiction from a day on, until a later row of the same name. Rates of a place stack."""

    jurisdiction = models.CharField(
        max_length=80,
        help_text="Its name. The same name again, from a later day, takes the place of this row.",
    )
    country = models.CharField(max_length=2, help_text="Two letters, as in ISO 3166: US, GB, DE.")
    state = models.CharField(
        max_length=2, blank=True, help_text="Two letters, as in an address. Empty: the whole country."
    )
    postal = models.CharField(
        "postal codes",
        max_length=400,
        blank=True,
        help_text="With spaces between them, whole or how they begin. Empty: the whole state.",
    )
    percent = models.DecimalField(
        "rate, per cent",
        max_digits=7,
        decimal_places=4,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
        help_text="Nought ends it.",
    )
    starts = models.DateField("from")
    source = models.CharField(
        "where it is published",
        max_length=300,
        help_text="The authority’s page or notice, and when you read it.",
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "tax rate"
        ordering = ["jurisdiction", "starts", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(percent__gte=0, percent__lte=100), name="tax_rate_in_bounds"
            ),
            models.CheckConstraint(
                condition=models.Q(postal="") | ~models.Q(state=""), name="postal_codes_lie_in_a_state"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.jurisdiction}, {self.shown} per cent"

    @property
    def shown(self) -> str:
        """The rate without idle noughts."""
        return f"{self.percent.normalize():f}"


class TaxPolicy(Fact):
    """How the shop's sales are taxed from a day on, until a later row."""

    class Scheme(models.TextChoices):
        NONE = rules.Scheme.NONE.value, "No tax collected"
        SALES_TAX = rules.Scheme.SALES_TAX.value, "Sales tax"
        NORMAL = rules.Scheme.NORMAL.value, "VAT, normal rules"
        MARGIN = rules.Scheme.MARGIN.value, "VAT, margin scheme"

    class Sourcing(models.TextChoices):
        DESTINATION = rules.Sourcing.DESTINATION.value, "Where the buyer is"
        ORIGIN = rules.Sourcing.ORIGIN.value, "Where the shop is"

    class Rounding(models.TextChoices):
        LINE = rules.Rounding.LINE.value, "Each line"
        INVOICE = rules.Rounding.INVOICE.value, "The whole sale"

    starts = models.DateField("from")
    scheme = models.CharField("how sales are taxed", max_length=12, choices=Scheme.choices)
    sourcing = models.CharField(
        "whose rates count within the state",
        max_length=12,
        choices=Sourcing.choices,
        default=Sourcing.DESTINATION,
        help_text="What goes to another state or country is taxed, if at all, by the rates of its destination.",
    )
    shipping_taxable = models.BooleanField("shipping charged is taxed", default=False)
    trade_in_allowed = models.BooleanField(
        "a trade-in lowers what is taxed",
        default=False,
    )
    rounding = models.CharField(
        "what is rounded to the cent",
        max_length=8,
        choices=Rounding.choices,
        default=Rounding.INVOICE,
        help_text="Half a cent goes up. Under the margin scheme it is always the item.",
    )
    inland = models.CharField(
        "countries that are no export",
        max_length=200,
        blank=True,
        help_text="Besides the shop’s own; two letters each, with spaces between them.",
    )
    note = models.CharField("why, or on whose advice", max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "tax policy"
        verbose_name_plural = "tax policies"
        ordering = ["-starts", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_scheme_display()} from {self.starts:%-d %B %Y}"


class TaxBooking(Fact):
    """What a tax row of a ledger was reckoned from: the policy, the place, the rates and the reasons of that day."""

    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="tax_booking")
    policy = models.ForeignKey(TaxPolicy, on_delete=models.PROTECT, related_name="+")
    percent = models.DecimalField(max_digits=7, decimal_places=4)
    place = models.CharField(max_length=60, blank=True)
    whole = models.DecimalField("tax in all", max_digits=13, decimal_places=3)
    why: Any = models.JSONField(default=list)

    class Meta:
        verbose_name = "booking of a tax"

    def __str__(self) -> str:
        return f"{self.percent.normalize():f} per cent, {self.place}"
