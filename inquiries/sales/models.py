"""Holds, the sale, and the rows of its ledger."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from catalog.models import Instrument
from inquiries.people.models import Contact
from inquiries.threads.models import Inquiry
from shop.facts import Fact


class Hold(models.Model):
    """A promise of first refusal, or a place in the queue for it.

    `starts_at` and `until` are the span in which the promise runs (start in, end out). The spans of
    a queue follow one another, so which hold runs at an instant is read off, with nothing to wait
    for. Both are empty while an open sale stands in the way.
    """

    class State(models.TextChoices):
        ACTIVE = "active", "On hold"
        QUEUED = "queued", "In the queue"
        SALE = "sale", "Became a sale"
        RELEASED = "released", "Released"
        EXPIRED = "expired", "Expired"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="holds")
    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="holds")
    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="holds")
    state = models.CharField(max_length=10, choices=State.choices)
    hours = models.PositiveSmallIntegerField("length in hours")
    asked_at = models.DateTimeField()
    starts_at = models.DateTimeField(null=True, blank=True)
    until = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField("why it ended", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["asked_at", "pk"]
        indexes = [models.Index(fields=["instrument", "state"], name="hold_of_instrument")]
        constraints = [
            models.UniqueConstraint(
                fields=["instrument"], condition=Q(state="active"), name="one_active_hold"
            ),
            models.UniqueConstraint(
                fields=["instrument", "contact"],
                condition=Q(state__in=["active", "queued"]),
                name="one_place_in_the_queue",
            ),
            models.CheckConstraint(
                condition=Q(starts_at__isnull=True, until__isnull=True) | Q(starts_at__lt=models.F("until")),
                name="hold_span_in_order",
            ),
            models.CheckConstraint(
                condition=~Q(state="active") | Q(until__isnull=False), name="active_hold_has_end"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["active", "queued"], ended_at__isnull=True)
                | Q(state__in=["sale", "released", "expired"], ended_at__isnull=False),
                name="ended_hold_has_instant",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_state_display()}: {self.contact}"


class Sale(models.Model):
    """One sale, opened by its first money. What is owed and what comes next is computed from its rows."""

    class Outcome(models.TextChoices):
        CLOSED = "closed", "Closed"
        RETURNED = "returned", "Returned"
        FELL_THROUGH = "fell-through", "Fell through"

    number = models.CharField(max_length=12, unique=True)
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="sales")
    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="sales")
    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="sales", verbose_name="buyer")
    currency = models.CharField(max_length=3)
    approval_hours = models.PositiveSmallIntegerField()
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=12, choices=Outcome.choices, blank=True)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["instrument"], condition=Q(ended_at__isnull=True), name="one_open_sale"
            ),
            models.UniqueConstraint(fields=["instrument"], condition=Q(outcome="closed"), name="sold_once"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, outcome="") | Q(ended_at__isnull=False) & ~Q(outcome=""),
                name="ended_sale_has_outcome",
            ),
        ]

    def __str__(self) -> str:
        return f"Sale {self.number}"

    def get_absolute_url(self) -> str:
        """Its page at the desk."""
        return reverse("sale", args=[self.number])


class LedgerRow(Fact):
    """One amount of a sale: what is charged is positive, what is received is negative; the sum is the balance."""

    class Kind(models.TextChoices):
        PRICE = "price", "Price"
        SHIPPING = "shipping", "Shipping"
        DEPOSIT = "deposit", "Deposit"
        PAYMENT = "payment", "Payment"
        REFUND = "refund", "Refund"
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
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    currency = models.CharField(max_length=3)
    method = models.CharField(max_length=16, choices=Method.choices, blank=True)
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
                condition=Q(kind__in=["price", "shipping", "refund"], amount__gt=0)
                | Q(kind__in=["deposit", "payment", "credit"], amount__lt=0)
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
        return f"{self.get_kind_display()} {self.amount}"

    @property
    def is_money_in(self) -> bool:
        """Whether this row is money received."""
        return self.kind in {self.Kind.DEPOSIT, self.Kind.PAYMENT}

    @property
    def received(self) -> Decimal:
        """The amount received, as a positive figure."""
        return -self.amount


class Clearing(Fact):
    """The bank has made an amount final."""

    row = models.OneToOneField(LedgerRow, on_delete=models.PROTECT, related_name="clearing")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "clearing"

    def __str__(self) -> str:
        return f"Cleared: {self.row}"


class Payout(Fact):
    """The consignor's share, paid out."""

    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="payout")
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    currency = models.CharField(max_length=3)
    method = models.CharField(max_length=16, choices=LedgerRow.Method.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "payout"
        constraints = [models.CheckConstraint(condition=Q(amount__gt=0), name="payout_positive")]

    def __str__(self) -> str:
        return f"Paid out {self.amount}"
