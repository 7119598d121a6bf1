"""Holds, the sale, and the rows of its ledger."""

from datetime import datetime
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from catalog.models import Instrument
from inquiries.people.models import Contact
from inquiries.sales import rules
from inquiries.threads.models import Inquiry, Message
from shop.facts import Fact
from shop.money import Money
from shop.policies.models import HousePolicy


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

    class Condition(models.TextChoices):
        FREE = "free", "Free"
        DEPOSIT = "deposit", "With a deposit"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="holds")
    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="holds")
    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="holds")
    state = models.CharField(max_length=10, choices=State.choices)
    condition = models.CharField(max_length=8, choices=Condition.choices, default=Condition.FREE)
    hours = models.PositiveIntegerField("length in hours")
    balance_hours = models.PositiveIntegerField(
        null=True, blank=True, help_text="With a deposit: how long the balance may take, from the start."
    )
    policy = models.ForeignKey(
        HousePolicy, null=True, blank=True, on_delete=models.PROTECT, related_name="+", editable=False
    )
    extended_hours = models.PositiveIntegerField("made longer by, in hours", default=0)
    extended_at = models.DateTimeField(null=True, blank=True)
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
                condition=Q(starts_at__isnull=True, until__isnull=True)
                # A comparison with nothing is neither true nor false, and a check would let it pass.
                | Q(starts_at__isnull=False, until__isnull=False, starts_at__lt=models.F("until")),
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
            models.CheckConstraint(
                condition=Q(condition="free", balance_hours__isnull=True)
                | Q(condition="deposit", balance_hours__isnull=False, balance_hours__gte=models.F("hours")),
                name="longer_hold_needs_deposit",
            ),
            models.CheckConstraint(
                condition=Q(extended_hours=0, extended_at__isnull=True)
                | Q(extended_hours__gt=0, extended_at__isnull=False),
                name="extension_has_instant",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_state_display()}: {self.contact}"

    @property
    def terms(self) -> HousePolicy:
        """The house policy it was made under; the usual figures where none was written yet."""
        return self.policy or HousePolicy(starts=self.asked_at.date())


class HoldNotice(Fact):
    """The person of a hold was told something of it; `starts_at` and `until` are the span as it stood then."""

    class What(models.TextChoices):
        PLACED = "placed", "That it is held, and until when"
        EXTENDED = "extended", "That it is held longer"
        MOVED_UP = "moved-up", "That it is now their turn"
        ENDING = "ending", "That the hold is about to end"
        ENDED = "ended", "That the hold has ended"

    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="notices")
    what = models.CharField(max_length=10, choices=What.choices)
    channel = models.CharField("how", max_length=10, choices=Message.Channel.choices)
    message = models.ForeignKey(
        Message, null=True, blank=True, on_delete=models.PROTECT, related_name="hold_notices"
    )
    note = models.CharField(max_length=200, blank=True)
    starts_at = models.DateTimeField("from when they were told", null=True, blank=True)
    until = models.DateTimeField("until when they were told", null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "notice of a hold"
        verbose_name_plural = "notices of holds"
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(starts_at__isnull=True, until__isnull=True)
                | Q(starts_at__isnull=False, until__isnull=False, starts_at__lt=models.F("until")),
                name="notice_span_in_order",
            )
        ]

    def __str__(self) -> str:
        return self.get_what_display()


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
    policy = models.ForeignKey(
        HousePolicy, null=True, blank=True, on_delete=models.PROTECT, related_name="+", editable=False
    )
    balance_due_at = models.DateTimeField(null=True, blank=True)
    stage = models.CharField(
        max_length=12,
        choices=[(stage.name, stage.value) for stage in rules.Stage],
        default=rules.Stage.DEPOSIT.name,
        help_text="A copy of what its rows say, as of the last deed.",
    )
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

    @property
    def terms(self) -> HousePolicy:
        """The house policy it was opened under; the usual figures where none was written yet."""
        return self.policy or HousePolicy(starts=self.opened_at.date())


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
