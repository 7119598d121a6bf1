"""The shop's own profile: what the public reads of it, and the terms it works by."""

from zoneinfo import ZoneInfo

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class ShopProfile(models.Model):
    """One row: the shop itself."""

    name = models.CharField("name of the shop", max_length=120)
    tagline = models.CharField(
        "line under the name", max_length=200, blank=True, help_text="One sentence on what you deal in."
    )
    owner_name = models.CharField(max_length=120, blank=True)
    address = models.TextField(blank=True)
    telephone = models.CharField(max_length=40, blank=True)
    email = models.EmailField("e-mail", help_text="Answers are sent from this address.")
    hours = models.CharField("opening hours", max_length=200, blank=True)
    about = models.TextField("about the shop", blank=True)
    terms = models.TextField(
        "terms of sale",
        blank=True,
        help_text="Printed on the terms page. Have them read by someone licensed to advise you on law.",
    )
    guarantee = models.TextField(
        blank=True,
        help_text="What you stand behind. On a listing it is followed by the exceptions that the record names.",
    )
    currency = models.CharField(
        max_length=3, default="USD", help_text="Three letters, as in ISO 4217: USD, EUR, GBP."
    )
    time_zone = models.CharField(
        max_length=60, default="America/New_York", help_text="Dates and times are shown in this zone."
    )
    hold_hours = models.PositiveSmallIntegerField(
        "length of a hold, in hours",
        default=48,
        validators=[MinValueValidator(1), MaxValueValidator(24 * 60)],
        help_text="A hold already placed keeps the length it was given.",
    )
    approval_hours = models.PositiveSmallIntegerField(
        "approval period, in hours",
        default=48,
        validators=[MinValueValidator(0), MaxValueValidator(24 * 90)],
        help_text="Counted from delivery. A sale already opened keeps the period it was made under.",
    )
    deposit_percent = models.PositiveSmallIntegerField(
        "usual deposit, per cent of the price", default=20, validators=[MaxValueValidator(100)]
    )
    standing_days = models.PositiveSmallIntegerField(
        "standing too long after, in days",
        default=180,
        help_text="The month's review lists pieces that have stood longer than this.",
    )
    sold_prices = models.BooleanField(
        "the sold archive shows prices",
        default=False,
        help_text="The last asking price. What a buyer paid is never shown.",
    )
    carriers = models.TextField(blank=True, help_text="One a line; offered when a parcel is recorded.")

    class Meta:
        verbose_name = "shop profile"
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="profile_one_shop")]

    def __str__(self) -> str:
        return self.name

    @property
    def carrier_names(self) -> list[str]:
        """The carriers, one a line as typed."""
        return [line.strip() for line in self.carriers.splitlines() if line.strip()]

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.time_zone)
