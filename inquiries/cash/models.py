"""From what sum on cash received is to be reported, in dated rows."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models

from inquiries.sales.ledger_models import LedgerRow
from shop.facts import Fact


class CashLimit(Fact):
    """The rule of one country from a day on, until a later row."""

    country = models.CharField(max_length=2, help_text="Two letters, as in ISO 3166: US.")
    starts = models.DateField("from")
    amount = models.DecimalField(
        "limit",
        max_digits=12,
        decimal_places=2,
        validators=[MinValueValidator(0)],
        help_text="A sum above it is to be reported.",
    )
    currency = models.CharField(max_length=3, help_text="Three letters, as in ISO 4217: USD.")
    check_face = models.DecimalField(
        "a cashier’s check counts as cash up to a face of",
        max_digits=12,
        decimal_places=2,
        validators=[MinValueValidator(0)],
    )
    months = models.PositiveSmallIntegerField("payments add up over, in months", default=12)
    due_days = models.PositiveSmallIntegerField("report due after, in days", default=15)
    checks_at_any_price = models.BooleanField(
        "cashier’s checks count whatever the price of the piece",
        default=True,
        help_text="The cautious reading: an old instrument may be a collectible.",
    )
    source = models.CharField("where to read the rule", max_length=300)
    read_on = models.DateField("read on")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "cash limit"
        ordering = ["country", "-starts", "-pk"]

    def __str__(self) -> str:
        return f"{self.country}: {self.amount:,} {self.currency}, from {self.starts:%-d %B %Y}"


class CashReport(Fact):
    """The owner has filed a report on cash received from a person, up to and with a row of a ledger."""

    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="cash_report")
    filed_on = models.DateField("filed on")
    note = models.CharField("number or how it was filed", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "report of cash"
        verbose_name_plural = "reports of cash"

    def __str__(self) -> str:
        return f"Filed on {self.filed_on:%-d %B %Y}"
