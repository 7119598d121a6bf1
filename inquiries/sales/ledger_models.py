"""The rows of a sale’s ledger, what the bank did with them, and the double entry."""

from datetime import datetime
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from inquiries.sales.models import Sale
from shop.facts import Fact
from shop.money import Money


class LedgerRow(Fact):
    """One amount of a sale: what is charged is positive, what is received is negative; the sum is the balance."""

    class Kind(models.TextChoices):
        PRICE = "price", "Price"
        SHIPPING = "shipping", "Shipping"
        TAX = "tax", "Tax"
        SURCHARGE = "surcharge", "Card surcharge"
        RESTOCKING = "restocking", "Restocking fee"
        DEPOSIT = "deposit", "Deposit"
        PAYMENT = "payment", "Payment"
        TRADE_IN = "trade-in", "Trade-in"
        BY_CREDIT = "by-credit", "Paid by store credit"
        REFUND = "refund", "Refund"
        TO_CREDIT = "to-credit", "Given as store credit"
        CREDIT = "credit", "Charge taken back"
        REVERSAL = "reversal", "Reversal"

    class Method(models.TextChoices):
        WIRE = "wire", "Bank wire"
        ACH = "ach", "Bank transfer (ACH)"
        CASHIERS = "cashiers-check", "Cashier’s check"
        CHECK = "personal-check", "Personal check"
        CARD = "card", "Card"
        CASH = "cash", "Cash"

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="rows")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    amount = models.DecimalField(max_digits=13, decimal_places=3)
    currency = models.CharField(max_length=3)
    method = models.CharField(max_length=16, choices=Method.choices, blank=True)
    received_at = models.DateTimeField("came in, or went out", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    entry = models.CharField(max_length=60, unique=True, help_text="One press of one form is one row.")

    class Meta:
        verbose_name = "ledger row"
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=["price", "shipping", "surcharge", "restocking", "refund", "to-credit"],
                    amount__gt=0,
                )
                | Q(kind__in=["deposit", "payment", "trade-in", "by-credit", "credit"], amount__lt=0)
                # Tax that was booked too high is booked down again.
                | Q(kind="tax") & ~Q(amount=0)
                | Q(kind="reversal") & ~Q(amount=0),
                name="ledger_sign",
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["deposit", "payment", "refund"]) | ~Q(method=""),
                name="money_has_method",
            ),
            models.CheckConstraint(
                condition=Q(kind="reversal", reverses__isnull=False)
                | ~Q(kind="reversal") & Q(reverses__isnull=True),
                name="reversal_names_its_row",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {Money(self.amount, self.currency)}"

    @property
    def is_money_in(self) -> bool:
        """Whether this row is money received."""
        return self.kind in {self.Kind.DEPOSIT, self.Kind.PAYMENT}

    @property
    def came_at(self) -> datetime:
        """When the money came in or went out: the instant of the row, where no other day was written down."""
        return self.received_at or self.at

    @property
    def received(self) -> Decimal:
        """The amount received, as a positive figure."""
        return -self.amount


class Clearing(Fact):
    """The bank has made an amount final."""

    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="clearing")
    amount = models.DecimalField(
        "what the bank booked",
        max_digits=13,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="In the currency of the sale, where it is not what was quoted.",
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "clearing"
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__isnull=True) | Q(amount__gt=0), name="clearing_positive"
            )
        ]

    def __str__(self) -> str:
        return f"Cleared: {self.row}"


class Payout(Fact):
    """The consignor's share, paid out."""

    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="payout")
    amount = models.DecimalField(max_digits=13, decimal_places=3)
    currency = models.CharField(max_length=3)
    method = models.CharField(max_length=16, choices=LedgerRow.Method.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "payout"
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="payout_positive")]

    def __str__(self) -> str:
        return f"Paid out {Money(self.amount, self.currency)}"


class Posting(Fact):
    """One amount moved from one account of a sale to another: double entry, balanced by its shape.

    `debit` is the account that receives, `credit` the one that gives; `minor` is above nought, in minor units of the
    currency by ISO 4217. `row`, `clearing` and `payout` name what it comes from; none of them: the closing of the sale.
    """

    class Account(models.TextChoices):
        BUYER = "buyer", "Buyer"
        SALES = "sales", "Sales"
        SHIPPING = "shipping", "Shipping charged"
        TAX = "tax", "Tax owed"
        SURCHARGE = "surcharge", "Card surcharges"
        FEES = "fees", "Fees kept"
        RECEIVED = "received", "Received, not final"
        BANK = "bank", "Bank, final"
        CASH = "cash", "Cash in hand"
        TRADE_INS = "trade-ins", "Taken in trade"
        CREDIT = "credit", "Store credit owed"
        EXCHANGE = "exchange", "Exchange difference"
        CONSIGNED = "consigned", "Share of the consignor"
        CONSIGNOR = "consignor", "Owed to the consignor"

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="postings")
    row = models.ForeignKey(
        LedgerRow, null=True, blank=True, on_delete=models.PROTECT, related_name="postings"
    )
    clearing = models.ForeignKey(
        Clearing, null=True, blank=True, on_delete=models.PROTECT, related_name="postings"
    )
    payout = models.ForeignKey(
        Payout, null=True, blank=True, on_delete=models.PROTECT, related_name="postings"
    )
    debit = models.CharField(max_length=10, choices=Account.choices)
    credit = models.CharField(max_length=10, choices=Account.choices)
    minor = models.BigIntegerField("amount in minor units")
    currency = models.CharField(max_length=3)
    at = models.DateTimeField()

    class Meta:
        verbose_name = "posting"
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(minor__gt=0), name="posting_above_nought"),
            models.CheckConstraint(condition=~Q(debit=models.F("credit")), name="posting_moves"),
            models.CheckConstraint(
                condition=Q(row__isnull=True, clearing__isnull=True)
                | Q(row__isnull=True, payout__isnull=True)
                | Q(clearing__isnull=True, payout__isnull=True),
                name="posting_has_one_cause",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_credit_display()} to {self.get_debit_display()}"


class Exchange(Fact):
    """Money received in another currency than that of the sale, with the rate that was quoted for it."""

    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="exchange")
    amount = models.DecimalField(max_digits=13, decimal_places=3)
    currency = models.CharField(max_length=3)
    rate = models.DecimalField(
        max_digits=18, decimal_places=8, help_text="Units of the sale’s currency for one of this."
    )
    quoted_on = models.DateField("rate of")
    source = models.CharField("where the rate stands", max_length=200)

    class Meta:
        verbose_name = "exchange"
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0, rate__gt=0), name="exchange_positive"),
            models.CheckConstraint(condition=~Q(source=""), name="exchange_has_source"),
        ]

    def __str__(self) -> str:
        return f"{Money(self.amount, self.currency)} at {self.rate.normalize():f}"


class BankStep(Fact):
    """What the bank did with money received, before it is final."""

    class Step(models.TextChoices):
        HANDED_IN = "handed-in", "Handed in at the bank"
        SHOWN = "shown", "Shown as credited, not final"

    row = models.ForeignKey(LedgerRow, on_delete=models.PROTECT, related_name="bank_steps")
    step = models.CharField(max_length=10, choices=Step.choices)
    on = models.DateField("day")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "step at the bank"
        ordering = ["at", "pk"]
        constraints = [models.UniqueConstraint(fields=["row", "step"], name="bank_step_once")]

    def __str__(self) -> str:
        return self.get_step_display()
