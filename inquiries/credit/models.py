"""Store credit of a person, and pieces taken in trade."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from catalog.models import Instrument
from inquiries.sales.ledger_models import LedgerRow
from shop.facts import Fact
from shop.money import Money


class CreditRow(Fact):
    """Store credit given (above nought) or used (below) in a sale.

    The sum over the sales of a person is what we owe in goods; a person is named by the sale alone, so that a merge
    of two people carries it along.
    """

    amount = models.DecimalField(max_digits=13, decimal_places=3)
    currency = models.CharField(max_length=3)
    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="credit_row")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "row of store credit"
        ordering = ["at", "pk"]
        constraints = [models.CheckConstraint(condition=~Q(amount=0), name="credit_not_zero")]

    def __str__(self) -> str:
        return f"Store credit {Money(self.amount, self.currency)}"


class TradeIn(Fact):
    """A piece that the buyer gave in part payment, with the record that was opened for it."""

    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="trade_in")
    instrument = models.OneToOneField(Instrument, on_delete=models.PROTECT, related_name="taken_in_trade")
    description = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "trade-in"

    def __str__(self) -> str:
        return self.description

    @property
    def given_back(self) -> bool:
        """Whether its row was reversed, and the piece went back to the buyer."""
        return hasattr(self.row, "reversed_by")
