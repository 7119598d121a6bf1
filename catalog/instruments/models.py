"""The record: the instrument itself, with what was found and measured on it; its kind and its maker lie beside."""

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.text import slugify

from catalog.dating.saying import as_said
from catalog.instruments.name_models import FormerName, Maker, Model
from catalog.instruments.queries import InstrumentQuerySet
from catalog.instruments.sheet_models import Configuration, Kind, Measure, Part, SheetRow, View
from shop.units import Length, Mass
from shop.wording import gettext, in_own, is_own, shipped
from shop.wording import gettext_lazy as _

__all__ = [
    "Configuration",
    "FormerName",
    "FoundNumber",
    "Included",
    "Instrument",
    "Kind",
    "Maker",
    "Measure",
    "Measurement",
    "Model",
    "Part",
    "SheetRow",
    "StockNumber",
    "View",
]


class StockNumber(models.Model):
    """Every number ever given. The row stays when the record goes, so a number is never given twice."""

    number = models.PositiveIntegerField(primary_key=True)
    given_at = models.DateTimeField()

    def __str__(self) -> str:
        return str(self.number)


class Instrument(models.Model):
    """One instrument: all that is known of it, and all that may be said of it."""

    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        LISTED = "listed", "Listed"
        SOLD = "sold", "Sold"
        WITHDRAWN = "withdrawn", "Withdrawn"

    class Grade(models.TextChoices):
        MINT = "mint", _("Mint")
        NEAR_MINT = "near-mint", _("Near mint")
        EXCELLENT_PLUS = "excellent-plus", _("Excellent plus")
        EXCELLENT = "excellent", _("Excellent")
        EXCELLENT_MINUS = "excellent-minus", _("Excellent minus")
        VERY_GOOD = "very-good", _("Very good")
        GOOD = "good", _("Good")
        FAIR = "fair", _("Fair")
        POOR = "poor", _("Poor")
        PROJECT = "project", _("Project")
        RELIC = "relic", _("Relic")

    class ConvertibleBack(models.TextChoices):
        YES = "yes", "Yes, with nothing to undo in wood"
        HARDLY = "hardly", "Only with new work"
        NO = "no", "No"
        UNKNOWN = "unknown", "Not known"

    stock = models.OneToOneField(
        StockNumber, on_delete=models.PROTECT, related_name="instrument", verbose_name="stock number"
    )
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    kind = models.ForeignKey(Kind, on_delete=models.PROTECT, related_name="instruments")
    maker = models.ForeignKey(
        Maker, null=True, blank=True, on_delete=models.PROTECT, related_name="instruments"
    )
    model = models.ForeignKey(
        Model, null=True, blank=True, on_delete=models.PROTECT, related_name="instruments"
    )

    made = models.CharField(
        "date of make",
        max_length=80,
        blank=True,
        help_text="As you would write it: 1927, c. 1931, 1925 to 1928, late 1920s, not before 1919.",
    )
    made_edtf = models.CharField(max_length=80, blank=True)
    made_earliest = models.SmallIntegerField(null=True, blank=True)
    made_latest = models.SmallIntegerField(null=True, blank=True)
    made_evidence = models.TextField(
        "how the date is known", blank=True, help_text="The number, label, feature or paper it rests on."
    )

    configuration_made = models.ForeignKey(
        Configuration,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="configuration as made",
    )
    configuration_now = models.ForeignKey(
        Configuration,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="configuration as it stands",
    )

    convertible_back = models.CharField(
        "can it be converted back", max_length=8, choices=ConvertibleBack.choices, blank=True
    )
    conversion_when = models.CharField(
        "when it was converted", max_length=80, blank=True, help_text="1962, c. 1970, not before 1950."
    )
    conversion_note = models.TextField(
        "how it was converted",
        blank=True,
        help_text="What was changed and how you know. Parts that are kept are named with the parts.",
    )

    grade = models.CharField("condition grade", max_length=20, choices=Grade.choices, blank=True)
    condition = models.TextField(
        "condition in words", blank=True, help_text="Wear, cracks, repairs: what a buyer would find."
    )
    setup = models.TextField(
        "set-up", blank=True, help_text="Strings, action, bridge, who set it up and when."
    )
    hear_at = models.URLField(
        "where it can be heard",
        blank=True,
        help_text="The address of a film or a recording of this piece, if there is one.",
    )
    story = models.TextField(blank=True, help_text="What you would tell a visitor about this piece.")

    currency = models.CharField(max_length=3, default="USD")
    price_on_request = models.BooleanField(default=False)
    asking_price = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    floor_price = models.DecimalField(
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        help_text="The least you would take. Only the owner sees it.",
    )

    created_at = models.DateTimeField()
    listed_at = models.DateTimeField("first listed", null=True, blank=True)
    sold_at = models.DateTimeField(null=True, blank=True)
    changed_at = models.DateTimeField()
    revision = models.PositiveIntegerField(default=0)

    objects = InstrumentQuerySet.as_manager()

    class Meta:
        ordering = ["-stock"]
        indexes = [
            models.Index(fields=["state", "-listed_at"], name="instrument_state_listed"),
            models.Index(fields=["kind", "state"], name="instrument_kind_state"),
            models.Index(fields=["state", "-sold_at"], name="instrument_state_sold"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(asking_price__isnull=True) | Q(asking_price__gt=0), name="asking_price_positive"
            ),
            models.CheckConstraint(
                condition=Q(floor_price__isnull=True) | Q(floor_price__gt=0), name="floor_price_positive"
            ),
            models.CheckConstraint(
                condition=Q(price_on_request=False) | Q(asking_price__isnull=True),
                name="price_or_on_request",
            ),
            models.CheckConstraint(
                condition=~Q(state="listed") | Q(asking_price__isnull=False) | Q(price_on_request=True),
                name="listed_has_price",
            ),
            models.CheckConstraint(
                condition=~Q(state="listed") | Q(listed_at__isnull=False), name="listed_has_date"
            ),
            models.CheckConstraint(
                condition=(Q(state="sold") & Q(sold_at__isnull=False))
                | (~Q(state="sold") & Q(sold_at__isnull=True)),
                name="sold_has_date",
            ),
            models.CheckConstraint(
                condition=Q(made_earliest__isnull=True)
                | Q(made_latest__isnull=True)
                | Q(made_earliest__lte=models.F("made_latest")),
                name="made_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stock_id} {self.title}"

    def get_absolute_url(self) -> str:
        """The public address."""
        return reverse("listing", args=[self.stock_id, self.slug])

    @property
    def name(self) -> str:
        """Maker and model, or the kind while they are unknown."""
        if self.model:
            return str(self.model)
        if self.maker:
            return str(self.maker)
        kind = shipped(self.kind.name)
        return gettext("Unidentified %(kind)s") % {"kind": kind.lower() if is_own() else kind}

    @property
    def made_said(self) -> str:
        """The date of make for a reader: as it was typed, or in their language."""
        return as_said(self.made, self.made_edtf)

    @property
    def title(self) -> str:
        """The name with its date, as it heads a listing."""
        return f"{self.name}, {self.made_said}" if self.made else self.name

    @property
    def slug(self) -> str:
        """The readable end of the public address, the same in every language."""
        with in_own():
            return slugify(f"{self.name} {self.made}") or "instrument"

    @property
    def is_public(self) -> bool:
        """Whether the public may open the page: listed now, or in the sold archive."""
        return self.state in {self.State.LISTED, self.State.SOLD}

    @property
    def converted(self) -> bool:
        """Whether it stands in another configuration than the one it was made in."""
        made, now = self.configuration_made_id, self.configuration_now_id
        return bool(made and now and made != now)

    def days_in_stock(self, at: datetime) -> int:
        """Whole days from first listing to sale, or to `at` while unsold; 0 when never listed."""
        return ((self.sold_at or at) - self.listed_at).days if self.listed_at else 0


class FoundNumber(models.Model):
    """A number found on the instrument, as it stands there."""

    class What(models.TextChoices):
        SERIAL = "serial", _("Serial number")
        BATCH = "batch", _("Batch number")
        PATENT = "patent", _("Patent number")
        OTHER = "other", _("Other number")

    class Legibility(models.TextChoices):
        CLEAR = "clear", _("Clear")
        PARTLY = "partly", _("Partly legible")
        FAINT = "faint", _("Faint")

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="numbers")
    what = models.CharField(max_length=10, choices=What.choices, default=What.SERIAL)
    value = models.CharField("number", max_length=60)
    where = models.CharField("where it stands", max_length=120)
    legibility = models.CharField(max_length=10, choices=Legibility.choices, default=Legibility.CLEAR)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_what_display()} {self.value}, {self.where}"


class Measurement(models.Model):
    """A measurement, kept in the unit it was taken in: an exact whole number of that unit, or a word."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="measurements")
    measure = models.ForeignKey(Measure, on_delete=models.PROTECT, related_name="+")
    amount = models.IntegerField(null=True, blank=True)
    unit = models.CharField(max_length=8, blank=True)
    word = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["measure__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "measure"], name="measured_once"),
            models.CheckConstraint(
                condition=Q(amount__isnull=True, unit="") | Q(amount__isnull=False) & ~Q(unit=""),
                name="measurement_has_unit",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.measure}: {self.shown}"

    @property
    def shown(self) -> str:
        """As a dealer writes it: 26¼ in (667 mm), 6 lb 3 oz (2.81 kg), 22, mahogany."""
        if self.amount is None:
            return shipped(self.word)
        quantity = self.measure.quantity
        if quantity == Measure.Quantity.LENGTH:
            return str(Length.from_stored(self.amount, self.unit))
        if quantity == Measure.Quantity.MASS:
            return str(Mass.from_stored(self.amount, self.unit))
        return str(self.amount)


class Included(models.Model):
    """Something that comes with the instrument."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="included")
    what = models.CharField("what comes with it", max_length=200)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.what
