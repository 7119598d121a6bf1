"""What was sent, and when it came."""

from django.conf import settings
from django.db import models

from inquiries.sales.models import Sale
from shop.facts import Fact


class Shipment(Fact):
    """One parcel sent, or a piece handed over in the shop (no carrier)."""

    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="shipment")
    carrier = models.CharField(max_length=60, blank=True)
    service = models.CharField(max_length=60, blank=True)
    tracking = models.CharField("tracking number", max_length=60, blank=True)
    carton_length_in = models.PositiveSmallIntegerField("carton length, in", null=True, blank=True)
    carton_width_in = models.PositiveSmallIntegerField("carton width, in", null=True, blank=True)
    carton_height_in = models.PositiveSmallIntegerField("carton height, in", null=True, blank=True)
    weight_amount = models.PositiveIntegerField(null=True, blank=True)
    weight_unit = models.CharField(max_length=8, blank=True)
    declared_value = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=3)
    uncleared_reason = models.CharField("why it left before the money cleared", max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField("sent")

    class Meta:
        verbose_name = "shipment"

    def __str__(self) -> str:
        return f"{self.carrier} {self.tracking}".strip() or "Collected in person"


class Delivery(Fact):
    """The instant the buyer had it: the approval period runs from here."""

    shipment = models.OneToOneField(Shipment, on_delete=models.PROTECT, related_name="delivery")
    at = models.DateTimeField("delivered")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    noted_at = models.DateTimeField()

    class Meta:
        verbose_name = "delivery"
