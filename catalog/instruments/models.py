"""The record: kinds with their sheets, makers and models, and the instrument itself."""

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.text import slugify

from catalog.instruments.queries import InstrumentQuerySet
from shop.units import Length, Mass


class Kind(models.Model):
    """A kind of instrument. Its sheet says which parts, measurements and views belong to it."""

    slug = models.SlugField("short name in addresses", unique=True)
    name = models.CharField(max_length=60)
    plural = models.CharField(max_length=60)
    position = models.PositiveSmallIntegerField("place in the list", default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class SheetRow(models.Model):
    """A line on a kind's sheet."""

    slug = models.SlugField()
    name = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class Configuration(SheetRow):
    """How a kind can be set out: five-string, tenor, plectrum …"""

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="configurations")

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="configuration_once_a_kind")]


class Part(SheetRow):
    """A part to examine. Parts with children are headings; the leaves are examined."""

    class Role(models.TextChoices):
        NONE = "", "Any other part"
        BODY = "body", "Body"
        NECK = "neck", "Neck"
        FINISH = "finish", "Finish"
        CASE = "case", "Case"

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="parts")
    role = models.CharField(
        "counts as",
        max_length=6,
        choices=Role.choices,
        blank=True,
        default="",
        help_text="The word on the whole instrument follows from its body, its neck and its finish.",
    )
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.CASCADE, related_name="children"
    )

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="part_once_a_kind")]


class Measure(SheetRow):
    """A measurement that a buyer of this kind expects."""

    class Quantity(models.TextChoices):
        LENGTH = "length", "Length (inches or millimetres)"
        MASS = "mass", "Weight (pounds or grams)"
        COUNT = "count", "Count"
        CHOICE = "choice", "One of a list"

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="measures")
    quantity = models.CharField("what is measured", max_length=10, choices=Quantity.choices)
    choices = models.JSONField(default=list, blank=True)

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="measure_once_a_kind")]


class View(SheetRow):
    """A picture that a buyer of this kind expects to see."""

    kind = models.ForeignKey(Kind, on_delete=models.CASCADE, related_name="views")
    required = models.BooleanField("needed before publishing", default=False)

    class Meta(SheetRow.Meta):
        constraints = [models.UniqueConstraint(fields=["kind", "slug"], name="view_once_a_kind")]


class Maker(models.Model):
    """Who made instruments."""

    name = models.CharField(max_length=120, unique=True)
    town = models.CharField(max_length=120, blank=True)
    years = models.CharField("years of work", max_length=60, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def slug(self) -> str:
        """The name as it stands in addresses."""
        return slugify(self.name)


class Model(models.Model):
    """A maker's model."""

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="models")
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["maker", "name"], name="model_once_a_maker")]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class FormerName(models.Model):
    """A maker or a model as it once stood in addresses: its old address leads to the new one."""

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="former_names")
    model = models.ForeignKey(
        Model, null=True, blank=True, on_delete=models.CASCADE, related_name="former_names"
    )
    slug = models.SlugField(max_length=120)

    class Meta:
        verbose_name = "former name"
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "slug"], condition=Q(model__isnull=True), name="former_maker_once"
            ),
            models.UniqueConstraint(
                fields=["model", "slug"], condition=Q(model__isnull=False), name="former_model_once"
            ),
        ]

    def __str__(self) -> str:
        return self.slug


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
        MINT = "mint", "Mint"
        NEAR_MINT = "near-mint", "Near mint"
        EXCELLENT_PLUS = "excellent-plus", "Excellent plus"
        EXCELLENT = "excellent", "Excellent"
        EXCELLENT_MINUS = "excellent-minus", "Excellent minus"
        VERY_GOOD = "very-good", "Very good"
        GOOD = "good", "Good"
        FAIR = "fair", "Fair"
        POOR = "poor", "Poor"
        PROJECT = "project", "Project"
        RELIC = "relic", "Relic"

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
        return str(self.maker) if self.maker else f"Unidentified {self.kind.name.lower()}"

    @property
    def title(self) -> str:
        """The name with its date, as it heads a listing."""
        return f"{self.name}, {self.made}" if self.made else self.name

    @property
    def slug(self) -> str:
        """The readable end of the public address."""
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
        SERIAL = "serial", "Serial number"
        BATCH = "batch", "Batch number"
        PATENT = "patent", "Patent number"
        OTHER = "other", "Other number"

    class Legibility(models.TextChoices):
        CLEAR = "clear", "Clear"
        PARTLY = "partly", "Partly legible"
        FAINT = "faint", "Faint"

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
            return self.word
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
