"""Papers handed over. What stands on one is frozen when it is issued."""

from typing import Any

from django.conf import settings
from django.db import models

from inquiries.sales.models import LedgerRow, Sale
from shop.facts import Fact


class Receipt(Fact):
    """A receipt for one amount received. `content` is all that is printed; the PDF is made from it alone."""

    number = models.CharField(max_length=12, unique=True)
    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="receipts")
    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="receipt")
    content: Any = models.JSONField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "receipt"
        ordering = ["number"]

    def __str__(self) -> str:
        return f"Receipt {self.number}"
