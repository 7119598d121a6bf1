"""What was sent, and when it came; what carriers write of weight and size, in rows that are never changed."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from inquiries.sales.models import Sale
from inquiries.shipping import rules
from shop.facts import Fact
from shop.units import LENGTH_UNITS, Length


class Shipment(Fact):
    """One parcel sent, or a piece handed over in the shop (no carrier)."""

    class Signature(models.TextChoices):
        NONE = "none", "None"
        ANYBODY = "anybody", "Somebody at the address"
        BUYER = "buyer", "The buyer in person"

    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="shipment")
    carrier = models.CharField(max_length=60, blank=True)
    service = models.CharField(max_length=60, blank=True)
    tracking = models.CharField("tracking number", max_length=60, blank=True)
    # The sides as they were measured: whole steps of one unit, as `shop.units.Length` has them.
    carton_length = models.PositiveIntegerField(null=True, blank=True)
    carton_width = models.PositiveIntegerField(null=True, blank=True)
    carton_height = models.PositiveIntegerField(null=True, blank=True)
    carton_unit = models.CharField(max_length=8, blank=True)
    weight_amount = models.PositiveIntegerField(null=True, blank=True)
    weight_unit = models.CharField(max_length=8, blank=True)
    declared_value = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3)
    address = models.TextField("sent to", blank=True)
    country = models.CharField("country it was sent to", max_length=2, blank=True)
    signature = models.CharField(
        "signature asked for", max_length=8, choices=Signature.choices, default=Signature.NONE
    )
    limit_reason = models.CharField("why it goes above the insured value", max_length=300, blank=True)
    unpictured_reason = models.CharField(
        "why no photograph was taken before sealing", max_length=300, blank=True
    )
    identity = models.CharField(
        "how the person was known",
        max_length=200,
        blank=True,
        help_text="Collected: the kind of paper that was looked at, never its number.",
    )
    collected_by = models.CharField("who came for it", max_length=120, blank=True)
    handed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="handed over by",
    )
    uncleared_reason = models.CharField("why it left before the money cleared", max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField("sent")

    class Meta:
        verbose_name = "shipment"
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    carton_unit="",
                    carton_length__isnull=True,
                    carton_width__isnull=True,
                    carton_height__isnull=True,
                )
                | Q(
                    carton_unit__in=list(LENGTH_UNITS),
                    carton_length__gt=0,
                    carton_width__gt=0,
                    carton_height__gt=0,
                ),
                name="carton_has_three_sides_or_none",
            ),
            models.CheckConstraint(
                condition=Q(carrier="") | Q(identity="", collected_by="", handed_by__isnull=True),
                name="collected_or_carried",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.carrier} {self.tracking}".strip() or "Collected in person"

    @property
    def sides(self) -> tuple[Length, Length, Length] | None:
        """Length, width and height of the carton as they were measured; None when they were not."""
        length, width, height = self.carton_length, self.carton_width, self.carton_height
        if length is None or width is None or height is None:
            return None
        unit = self.carton_unit
        return Length(length, unit), Length(width, unit), Length(height, unit)


class Delivery(Fact):
    """The instant the buyer had it: the approval period runs from here."""

    shipment = models.OneToOneField(Shipment, on_delete=models.PROTECT, related_name="delivery")
    at = models.DateTimeField("delivered")
    zone = models.CharField("time zone of the buyer", max_length=60, blank=True)
    signed_by = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    noted_at = models.DateTimeField()

    class Meta:
        verbose_name = "delivery"


class ParcelPicture(Fact):
    """A photograph of the piece and its packing before the carton was sealed; private, kept as received."""

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="parcel_pictures")
    original_name = models.CharField(max_length=255)
    sha256 = models.CharField(max_length=64)
    suffix = models.CharField(max_length=5)
    bytes = models.PositiveBigIntegerField()
    caption = models.CharField("what it shows", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "photograph before sealing"
        verbose_name_plural = "photographs before sealing"
        ordering = ["at", "pk"]
        constraints = [models.UniqueConstraint(fields=["sale", "sha256"], name="parcel_picture_once")]

    def __str__(self) -> str:
        return self.caption or self.original_name


class Loss(Fact):
    """A parcel that the carrier lost or destroyed, with the claim that was made."""

    shipment = models.OneToOneField(Shipment, on_delete=models.PROTECT, related_name="loss")
    what = models.CharField("what the carrier says", max_length=300)
    claim = models.CharField("number of the claim", max_length=60, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "lost parcel"

    def __str__(self) -> str:
        return self.what


def _limit(
    name: str, help_text: str = "", *, places: int = 1
) -> "models.DecimalField[Decimal | None, Decimal | None]":
    """A figure of a carrier, above nought; empty for one that it does not write."""
    return models.DecimalField(
        name,
        max_digits=12,
        decimal_places=places,
        null=True,
        blank=True,
        help_text=help_text,
        validators=[MinValueValidator(Decimal("0.1"))],
    )


class CarrierRule(Fact):
    """What one carrier writes of weight, size and value from a day on, until a later row."""

    class Measured(models.TextChoices):
        INCHES = rules.Measured.INCHES.value, "Inches and pounds"
        CENTIMETRES = rules.Measured.CENTIMETRES.value, "Centimetres and kilograms"

    class Side(models.TextChoices):
        UP = rules.Side.UP.value, "Up to a whole one"
        NEAREST = rules.Side.NEAREST.value, "To the nearest whole one"
        AS_IS = rules.Side.AS_IS.value, "Left as it is"

    class Weight(models.TextChoices):
        WHOLE = rules.Weight.WHOLE.value, "Up to a whole pound or kilogram"
        HALF = rules.Weight.HALF.value, "Up to half a pound or kilogram"
        AS_IS = rules.Weight.AS_IS.value, "Not rounded"

    carrier = models.CharField(max_length=60)
    starts = models.DateField("from")
    measured = models.CharField(
        "measures in", max_length=12, choices=Measured.choices, default=Measured.INCHES
    )
    divisor = _limit(
        "divisor of the volume",
        "Cubic inches per pound, or cubic centimetres per kilogram. Empty: no such weight.",
    )
    above = _limit("only above a volume of", "Cubic inches or cubic centimetres. Empty: whatever the size.")
    side = models.CharField("each side is rounded", max_length=8, choices=Side.choices, default=Side.UP)
    weight = models.CharField(
        "the weight is rounded", max_length=8, choices=Weight.choices, default=Weight.WHOLE
    )
    girth_limit = _limit(
        "length plus girth at most", "The longest side, and once around the other two; inches or centimetres."
    )
    longest = _limit("longest side at most", "Inches or centimetres.")
    heaviest = _limit("weight at most", "Pounds or kilograms.")
    declared_limit = _limit("declared value at most", places=2)
    currency = models.CharField(max_length=3)
    source = models.CharField(
        "where it is written", max_length=300, help_text="The carrier’s page or contract, and its section."
    )
    read_on = models.DateField("read on")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "carrier rule"
        ordering = ["carrier", "-starts", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(source=""), name="carrier_rule_has_source"),
            models.CheckConstraint(
                condition=models.Q(divisor__isnull=True) | models.Q(divisor__gt=0),
                name="carrier_rule_divides_by_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.carrier}, from {self.starts:%-d %B %Y}"
