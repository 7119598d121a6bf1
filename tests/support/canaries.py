"""Plant a canary in every field that is not named in catalog/public/wall.py."""

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models.signals import pre_save

from catalog.public.wall import PUBLIC

ROOMS = {"shop", "catalog", "inquiries"}
# Keys and codes that rows are joined by. They hold nothing a person wrote, and canaries would break them.
STRUCTURE = {
    "shop.ShopProfile": {"time_zone", "country"},
    "shop.User": {"password"},
    "shop.Job": {"task", "key"},
    "shop.Count": {"key"},
    "shop.Series": {"name"},
    "shop.Entry": {"about"},
    "catalog.Photograph": {"sha256"},
    "catalog.Recording": {"sha256"},
    "catalog.Cost": {"currency"},
    "catalog.Agreement": {"currency"},
    "catalog.ClaimWord": {"claim"},
    "catalog.ClaimAnswer": {"claim"},
    "catalog.SpokenLine": {"key"},
    "catalog.Paper": {"sha256", "suffix"},
    # Computed from what is public, and never typed.
    "catalog.Edition": {"mark"},
    "catalog.Shelved": {"word"},
    "catalog.KnownWord": {"word"},
    # Computed from the letters, and never typed.
    "inquiries.WrittenWord": {"word"},
    # Dates are read when a row is saved, and a canary is no date.
    "catalog.Feature": {"when"},
    "catalog.NumberRange": {"when"},
    # Without a consent these stay empty, by constraint; with one the name may be said.
    "catalog.Provenance": {"consent_how"},
    "inquiries.Contact": {"country"},
    "inquiries.Want": {"word_at_least"},
    "inquiries.PostalAddress": {"country"},
    "inquiries.Offer": {"currency"},
    "inquiries.Sale": {"currency"},
    "inquiries.LedgerRow": {"currency"},
    "inquiries.Exchange": {"currency"},
    "inquiries.Posting": {"currency"},
    # Of a piece that was fetched, so that it may say how the person was known: it has no carrier, by constraint.
    "inquiries.Shipment": {"currency", "weight_unit", "carton_unit", "country", "carrier"},
    "inquiries.Delivery": {"zone"},
    "inquiries.ParcelPicture": {"sha256", "suffix"},
    "inquiries.Payout": {"currency"},
    "inquiries.TaxRate": {"country", "state", "postal", "percent"},
    "inquiries.Plan": {"currency"},
    "inquiries.CreditRow": {"currency"},
    "inquiries.TaxBooking": {"percent"},
    "inquiries.CashLimit": {"country", "currency"},
    "inquiries.CarrierRule": {"currency"},
}


class Canaries:
    """Every canary planted, by the field it sits in."""

    def __init__(self) -> None:
        self.planted: dict[str, set[str]] = {}
        self._count = 0

    def plant(self, sender: type[models.Model], instance: models.Model, **kwargs: Any) -> None:
        """Put a canary into each private field of a row about to be saved."""
        label = sender._meta.label
        if sender._meta.app_label not in ROOMS:
            return
        for field in sender._meta.concrete_fields:
            if field.name in PUBLIC.get(label, ()) or field.name in STRUCTURE.get(label, ()):
                continue
            canary = self._canary_for(field, getattr(instance, field.attname))
            if canary is not None:
                setattr(instance, field.attname, canary)
                self.planted.setdefault(f"{label}.{field.name}", set()).add(self._searched(canary))

    def _canary_for(self, field: Any, value: Any) -> Any:
        self._count += 1
        if field.choices or field.primary_key or field.is_relation:
            return None
        if isinstance(field, models.EmailField):
            return f"cnry{self._count:05}@wall.example"
        if isinstance(field, models.CharField | models.TextField):
            return f"CNRY{self._count:05}X"[: field.max_length]
        if isinstance(field, models.DecimalField) and value is not None and field.max_digits > 5:
            sign = -1 if value < 0 else 1
            return Decimal(sign * (76_000_000 + self._count))
        if isinstance(field, models.DecimalField) and value is not None:
            return Decimal("13.37")
        return None

    @staticmethod
    def _searched(canary: Any) -> str:
        return str(abs(canary)) if isinstance(canary, Decimal) else str(canary)

    def found_in(self, text: str) -> list[str]:
        """The fields whose canary stands in `text`, however an amount is grouped."""
        plain = text.replace(",", "").replace("\u202f", "").replace("&#x27;", "'")
        return [
            field for field, canaries in self.planted.items() if any(canary in plain for canary in canaries)
        ]


@contextmanager
def planting() -> Iterator[Canaries]:
    """While the block runs, every row that is saved gets its canaries."""
    canaries = Canaries()
    pre_save.connect(canaries.plant)
    try:
        yield canaries
    finally:
        pre_save.disconnect(canaries.plant)
