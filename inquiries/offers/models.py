"""Offers, and how each ended. An offer is never changed: a better one is a new one."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from catalog.models import Instrument
from inquiries.sales.hold_models import Hold
from inquiries.threads.models import Inquiry
from shop.facts import Fact


class Offer(Fact):
    """What a buyer would give for a piece: an amount, perhaps a trade-in with what we would count it for."""

    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="offers")
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="offers")
    amount = models.DecimalField(max_digits=12, decimal_places=2, validators=[MinValueValidator(0)])
    currency = models.CharField(max_length=3)
    trade_in = models.CharField("what would be traded in", max_length=300, blank=True)
    trade_in_value = models.DecimalField(
        "what we would count it for",
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    asked = models.DecimalField("asking price at the time", max_digits=12, decimal_places=2, null=True)
    until = models.DateTimeField("good until", null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    entry = models.CharField(max_length=36, unique=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gte=0), name="offer_not_negative"),
            models.CheckConstraint(
                condition=Q(trade_in="", trade_in_value__isnull=True) | ~Q(trade_in=""),
                name="offer_trade_in_is_named",
            ),
        ]

    def __str__(self) -> str:
        return f"Offer of {self.amount} {self.currency}"


class OfferEnd(Fact):
    """How an offer ended; once. One that is past its time without an end has lapsed."""

    class How(models.TextChoices):
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"
        TAKEN_BACK = "taken-back", "Taken back"
        REPLACED = "replaced", "Replaced by another"

    offer = models.OneToOneField(Offer, on_delete=models.PROTECT, related_name="end")
    how = models.CharField(max_length=10, choices=How.choices)
    hold = models.ForeignKey(Hold, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "end of an offer"

    def __str__(self) -> str:
        return self.get_how_display()
