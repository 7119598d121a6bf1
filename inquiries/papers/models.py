"""Papers handed over. What stands on one is frozen when it is issued."""

from typing import Any

from django.conf import settings
from django.db import models

from catalog.models import Instrument
from inquiries.sales.models import LedgerRow, Sale
from inquiries.threads.models import Inquiry
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


class IssuedPaper(Fact):
    """A paper as issued: all that is printed, frozen, with its hash. A new version names the one that it cancels.

    It is of a sale or, a quotation, of a thread. It names no person as a row: who it is for stands in `content`, and
    a fact could not go along when two contacts turn out to be one.
    """

    class Kind(models.TextChoices):
        QUOTATION = "quotation", "Quotation"
        INVOICE = "invoice", "Invoice"
        PLAN = "plan", "Instalment plan"
        BILL = "bill", "Bill of sale"
        PACKING = "packing", "Packing list"
        CUSTOMS = "customs", "Commercial invoice"
        STATEMENT = "statement", "Consignor’s statement"
        RETURN = "return", "Return note"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    number = models.CharField(max_length=16)
    version = models.PositiveSmallIntegerField(default=1)
    cancels = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="cancelled_by"
    )
    reason = models.CharField("why it is made anew", max_length=200, blank=True)
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="issued_papers")
    sale = models.ForeignKey(Sale, null=True, blank=True, on_delete=models.PROTECT, related_name="papers")
    inquiry = models.ForeignKey(
        Inquiry, null=True, blank=True, on_delete=models.PROTECT, related_name="papers"
    )
    content: Any = models.JSONField()
    sha256 = models.CharField("hash of the content", max_length=64)
    entry = models.CharField(max_length=60, unique=True, help_text="One press of one form is one paper.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "issued paper"
        ordering = ["kind", "number", "version"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "number", "version"], name="paper_version_once"),
            models.CheckConstraint(
                condition=models.Q(version=1, cancels__isnull=True)
                | models.Q(version__gt=1, cancels__isnull=False) & ~models.Q(reason=""),
                name="later_version_cancels_with_reason",
            ),
            models.CheckConstraint(
                condition=models.Q(kind="quotation", sale__isnull=True, inquiry__isnull=False)
                | ~models.Q(kind="quotation") & models.Q(sale__isnull=False, inquiry__isnull=True),
                name="paper_of_a_sale_or_a_thread",
            ),
            models.UniqueConstraint(
                fields=["kind", "sale"], condition=models.Q(version=1), name="one_number_of_a_kind_a_sale"
            ),
            models.UniqueConstraint(
                fields=["inquiry"], condition=models.Q(version=1), name="one_quotation_number_a_thread"
            ),
        ]

    def __str__(self) -> str:
        later = f", version {self.version}" if self.version > 1 else ""
        return f"{self.get_kind_display()} {self.number}{later}"


class PaperFile(Fact):
    """The PDF that was made of an issued paper, or of a receipt, with its hash; the file is never made anew over it."""

    paper = models.OneToOneField(
        IssuedPaper, null=True, blank=True, on_delete=models.PROTECT, related_name="file"
    )
    receipt = models.OneToOneField(
        Receipt, null=True, blank=True, on_delete=models.PROTECT, related_name="file"
    )
    name = models.CharField(max_length=120, unique=True)
    sha256 = models.CharField(max_length=64)
    at = models.DateTimeField()

    class Meta:
        verbose_name = "file of a paper"
        verbose_name_plural = "files of papers"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(paper__isnull=True, receipt__isnull=False)
                | models.Q(paper__isnull=False, receipt__isnull=True),
                name="file_of_one_paper",
            )
        ]

    def __str__(self) -> str:
        return self.name
