"""Papers handed over. What stands on one is frozen when it is issued."""

from typing import Any

from django.conf import settings
from django.db import models

from catalog.models import Instrument
from inquiries.papers.rules import canonical
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.threads.models import Inquiry
from shop.facts import Fact
from shop.typesetting import BOX, lacking_in

MOST_NAMED = 12  # signs named one by one


class IssuedPaper(Fact):
    """A paper as issued: all that is printed, frozen, with its hash. A new version names the one that it cancels.

    It is of a sale or, a quotation, of a thread; a receipt is of one amount received. It names no person as a row: who
    it is for stands in `content`, and a fact could not go along when two contacts turn out to be one.
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
        RECEIPT = "receipt", "Receipt"

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
    row = models.ForeignKey(
        LedgerRow, null=True, blank=True, on_delete=models.PROTECT, related_name="receipts"
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
            models.CheckConstraint(
                condition=models.Q(kind="receipt", row__isnull=False)
                | ~models.Q(kind="receipt") & models.Q(row__isnull=True),
                name="receipt_of_an_amount",
            ),
            models.UniqueConstraint(
                fields=["kind", "sale"],
                condition=models.Q(version=1) & ~models.Q(kind="receipt"),
                name="one_number_of_a_kind_a_sale",
            ),
            models.UniqueConstraint(
                fields=["row"], condition=models.Q(version=1), name="one_receipt_number_an_amount"
            ),
            models.UniqueConstraint(
                fields=["inquiry"], condition=models.Q(version=1), name="one_quotation_number_a_thread"
            ),
        ]

    def __str__(self) -> str:
        later = f", version {self.version}" if self.version > 1 else ""
        return f"{self.get_kind_display()} {self.number}{later}"

    @property
    def lacks(self) -> str:
        """Which signs on it cannot be printed, and what to do about it; empty when all can."""
        signs = sorted(lacking_in(canonical(self.content)))
        if not signs:
            return ""
        more = f" and {len(signs) - MOST_NAMED} more" if len(signs) > MOST_NAMED else ""
        return (
            f"There is no type here for {' '.join(signs[:MOST_NAMED])}{more}: on the paper stands {BOX} instead. "
            "Write the name in Latin letters too, and make the paper anew."
        )


class PaperFile(Fact):
    """The PDF that was made of an issued paper, with its hash; the file is never made anew over it."""

    paper = models.OneToOneField(IssuedPaper, on_delete=models.PROTECT, related_name="file")
    name = models.CharField(max_length=120, unique=True)
    sha256 = models.CharField(max_length=64)
    at = models.DateTimeField()

    class Meta:
        verbose_name = "file of a paper"
        verbose_name_plural = "files of papers"

    def __str__(self) -> str:
        return self.name
