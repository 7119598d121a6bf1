"""A sale paid by instalments: the plan as agreed, never changed; a later one takes its place."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from inquiries.sales.models import Sale
from shop.facts import Fact
from shop.money import Money


class Plan(Fact):
    """What was agreed: which amounts fall due on which days. The latest of a sale counts."""

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="plans")
    grace_days = models.PositiveSmallIntegerField()
    currency = models.CharField(max_length=3)
    note = models.CharField(max_length=300, blank=True)
    entry = models.CharField(max_length=60, unique=True, help_text="One press of one form is one plan.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "instalment plan"
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"Instalments of sale {self.sale.number}"


class Instalment(Fact):
    """One amount of a plan and the day it falls due."""

    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="instalments")
    due_on = models.DateField("due on")
    amount = models.DecimalField(max_digits=13, decimal_places=3)

    class Meta:
        verbose_name = "instalment"
        ordering = ["due_on", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="instalment_positive"),
            models.UniqueConstraint(fields=["plan", "due_on"], name="one_instalment_a_day"),
        ]

    @property
    def currency(self) -> str:
        """The currency of its plan."""
        return self.plan.currency

    def __str__(self) -> str:
        return f"{Money(self.amount, self.currency)} on {self.due_on:%-d %B %Y}"
