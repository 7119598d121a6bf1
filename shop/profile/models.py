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
    country = models.CharField(
        max_length=2,
        default="US",
        help_text="Two letters, as in ISO 3166. Telephone numbers are shown as dialled here.",
    )
    tax_number = models.CharField(
        "tax number, as papers print it",
        max_length=80,
        blank=True,
        help_text="With its name before it, such as “VAT No.”; invoices with VAT must show it.",
    )
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
    first_call_hours = models.PositiveSmallIntegerField(
        "hours of a first call",
        default=24,
        validators=[MinValueValidator(1), MaxValueValidator(24 * 30)],
        help_text="Those who seek such a piece hear of it so long before it is published.",
    )
    first_call_in_turn = models.BooleanField(
        "first calls go to one person at a time",
        default=True,
        help_text="In the order in which they asked; otherwise all are told at once.",
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
    def clock(self) -> str:
        """The name of its time zone as it is written: America/New York."""
        return self.time_zone.replace("_", " ")

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.time_zone)


class OpenHours(models.Model):
    """Hours of a weekday in which the shop is open, by the clock of its zone; start in, end out."""

    class Weekday(models.IntegerChoices):
        MONDAY = 0, "Monday"
        TUESDAY = 1, "Tuesday"
        WEDNESDAY = 2, "Wednesday"
        THURSDAY = 3, "Thursday"
        FRIDAY = 4, "Friday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        verbose_name = "open hours"
        verbose_name_plural = "open hours"
        ordering = ["weekday", "opens"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(opens__lt=models.F("closes")), name="open_hours_in_order"
            ),
            models.UniqueConstraint(fields=["weekday", "opens"], name="open_hours_once"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()}, {self.opens:%H:%M} to {self.closes:%H:%M}"


class ClosedDay(models.Model):
    """A day on which the shop is closed, whatever the weekday."""

    day = models.DateField(unique=True)
    why = models.CharField(max_length=120, blank=True)

    class Meta:
        verbose_name = "closed day"
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day:%-d %B %Y}"
