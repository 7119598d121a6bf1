"""The shop's own rules on promises, money and parcels, in dated rows that are never changed."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from shop.facts import Fact

YEAR = 24 * 366


def _hours(
    name: str, default: int, most: int, help_text: str, *, least: int = 0
) -> "models.PositiveIntegerField[int, int]":
    return models.PositiveIntegerField(
        name,
        default=default,
        validators=[MinValueValidator(least), MaxValueValidator(most)],
        help_text=help_text,
    )


def _percent(name: str, default: int, help_text: str) -> "models.DecimalField[Decimal, Decimal]":
    return models.DecimalField(
        name,
        max_digits=5,
        decimal_places=2,
        default=Decimal(default),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))],
        help_text=help_text,
    )


class HousePolicy(Fact):
    """What the shop promises and asks from a day on, until a later row. What runs keeps the row it was made under."""

    starts = models.DateField("from")
    hold_hours = _hours("length of a hold, in hours", 48, YEAR, "What is proposed for a hold.", least=1)
    hold_most_hours = _hours(
        "longest hold without a deposit, in hours", 72, YEAR, "A longer one needs a deposit.", least=1
    )
    deposit_due_hours = _hours(
        "a deposit is due within, in hours", 48, YEAR, "Without it the hold ends at that instant.", least=1
    )
    deposit_hold_days = models.PositiveSmallIntegerField(
        "longest hold with a deposit, in days",
        default=30,
        validators=[MinValueValidator(1), MaxValueValidator(730)],
        help_text="The balance is due by then.",
    )
    extension_hours = _hours(
        "one extension, in hours",
        24,
        YEAR,
        "A hold can be made longer once, by so much at most. Nought: never.",
    )
    timer_public = models.BooleanField(
        "a listing says until when it is on hold", default=True, help_text="Never for whom."
    )
    deposit_percent = _percent(
        "usual deposit, per cent of the price", 20, "What is proposed; another sum can be typed."
    )
    approval_hours = _hours("approval period, in hours", 48, 24 * 90, "Counted from the instant of delivery.")
    restocking_percent = _percent(
        "restocking fee, per cent of the price",
        0,
        "Proposed when a piece comes back. Where a law gives the buyer the whole back, nought is right.",
    )
    instalment_months = models.PositiveSmallIntegerField(
        "longest payment by instalments, in months",
        default=6,
        validators=[MaxValueValidator(120)],
        help_text="Nought: no instalments.",
    )
    grace_days = models.PositiveSmallIntegerField(
        "days of grace for an instalment",
        default=7,
        validators=[MaxValueValidator(365)],
        help_text="Later than that, the plan is in default.",
    )
    default_keeps_percent = _percent(
        "kept at default, per cent of what was paid",
        0,
        "Proposed when a buyer stops paying. What may be kept differs by law: ask your adviser.",
    )
    surcharge_percent = _percent(
        "surcharge on cards, per cent", 0, "Not allowed everywhere. Nought: none is charged."
    )
    surcharge_source = models.CharField(
        "where it says that a surcharge is allowed",
        max_length=300,
        blank=True,
        help_text="The law and the card contract, and when you read them.",
    )
    declared_limit = models.DecimalField(
        "highest value insured for one parcel",
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
        help_text="By the shop’s own transit policy, in the shop’s currency. Empty: none is known.",
    )
    damage_days = models.PositiveSmallIntegerField(
        "damage is to be reported within, in days",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(365)],
        help_text="By the terms of the carrier or the insurer, from delivery. Empty: none is known.",
    )
    note = models.CharField("why, or on whose advice", max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "house policy"
        verbose_name_plural = "house policies"
        ordering = ["-starts", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(surcharge_percent=0) | ~Q(surcharge_source=""), name="surcharge_has_source"
            ),
            models.CheckConstraint(
                condition=Q(hold_hours__lte=models.F("hold_most_hours")), name="usual_hold_within_longest"
            ),
        ]

    def __str__(self) -> str:
        return f"House policy from {self.starts:%-d %B %Y}"
