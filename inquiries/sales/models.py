"""The sale: what is owed and what comes next is computed from its rows."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from catalog.models import Instrument
from inquiries.people.models import Contact
from inquiries.sales import rules
from inquiries.threads.models import Inquiry
from shop.policies.models import HousePolicy


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
