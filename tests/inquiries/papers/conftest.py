"""A sale that has everything a paper may need, abroad and at home."""

from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings
from django.db.models import QuerySet

from catalog.models import Finding, FoundNumber, Included, Material, PartMaterial
from inquiries.models import (
    Inspection,
    InspectionLine,
    Instalment,
    IssuedPaper,
    LedgerRow,
    Plan,
    ReturnCall,
    Sale,
)
from inquiries.sales import actions
from inquiries.shipping.models import Shipment
from shop.models import ShopProfile, User
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.steps import entry, fresh, opened, received, settle

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def kept_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of papers, this test's own."""
    monkeypatch.setattr(settings, "PAPERS_DIR", tmp_path / "papers")
    return tmp_path / "papers"


def made() -> QuerySet[IssuedPaper]:
    """The papers made, but for the receipts that come with the money."""
    return IssuedPaper.objects.exclude(kind=IssuedPaper.Kind.RECEIPT)


@pytest.fixture
def sale(owner: User) -> Sale:
    """An open sale of a piece with numbers, things that come with it, exceptions and materials."""
    ShopProfile.objects.update(
        address="4 Harrow Lane\nMillbrook, MA 02139", guarantee="We stand behind every word of the record."
    )
    piece = InstrumentFactory(listed=True)
    FoundNumber.objects.create(instrument=piece, value="4417-12", where="on the rim")
    FoundNumber.objects.create(
        instrument=piece, what="patent", value="1,234", where="on the heel plate", legibility="faint"
    )
    Included.objects.create(instrument=piece, what="Original hard case")
    parts = list(piece.kind.parts.filter(children=None)[:2])
    for part, state in zip(parts, ("later", "original"), strict=True):
        Finding.objects.create(instrument=piece, part=part, state=state, seen="eye", examined_at=NOON)
    PartMaterial.objects.create(
        instrument=piece, part=parts[1], material=Material.objects.get(name="Brazilian rosewood")
    )
    return opened(
        instrument=piece,
        shipping="150.00",
        contact__name="Cole Withers",
        contact__address="12 Alder Row\nFernley, MA 02140",
        contact__country="US",
    )


def planned(sale: Sale) -> Plan:
    """Two instalments for the rest."""
    plan = Plan.objects.create(sale=sale, grace_days=7, currency="USD", entry=entry(), by=None, at=NOON)
    for month, amount in ((1, "5150.00"), (2, "5000.00")):
        Instalment.objects.create(plan=plan, due_on=(NOON + month * 30 * DAY).date(), amount=Decimal(amount))
    return plan


def paid(sale: Sale) -> Sale:
    """Paid in full, and final."""
    return settle(sale, at=NOON)


def parcelled(sale: Sale, **fields: str) -> Sale:
    """Paid and sent."""
    parcel = Shipment(
        carrier="Mule Train",
        tracking="MT 77",
        carton_length=50 * 64,
        carton_width=20 * 64,
        carton_height=12 * 64,
        carton_unit="in64",
        unpictured_reason="The camera was at the mender",
        weight_amount=10000,
        weight_unit="g",
        declared_value=Decimal("11000.00"),
        **fields,
    )
    actions.ship(paid(sale), parcel, by=None, at=NOON)
    return fresh(sale)


def announced(sale: Sale) -> ReturnCall:
    """Delivered, and announced as coming back."""
    sent = parcelled(sale)
    actions.deliver(sent, delivered_at=NOON + DAY, note="", by=None, at=NOON + DAY)
    return ReturnCall.objects.create(
        sale=sale, said_at=NOON + DAY, why="The neck is too slim for me.", by=None, at=NOON + DAY
    )


def looked_at(sale: Sale) -> Inspection:
    """Announced, back, and compared."""
    announced(sale)
    found = Inspection.objects.create(
        sale=sale, came_at=NOON + 4 * DAY, verdict="differs", note="x", by=None, at=NOON + 4 * DAY
    )
    InspectionLine.objects.create(inspection=found, what="Rim", recorded="original", alike=True)
    InspectionLine.objects.create(
        inspection=found, what="Head", recorded="not torn", alike=False, note="Torn at the edge"
    )
    return found


def more_money(sale: Sale, amount: str) -> LedgerRow:
    """One more payment."""
    return actions.record_payment(sale, received(amount), by=None, at=NOON)
