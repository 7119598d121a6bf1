"""What was agreed with a consignor, and who mends a piece for how much, stays out of every letter."""

from decimal import Decimal

import pytest

from catalog.models import Work
from inquiries.answering.private import private_of
from tests.factories import NOON, InquiryFactory
from tests.inquiries.test_consignment import agreed, consigned, spend


@pytest.mark.usefixtures("profile")
def test_the_terms_are_gathered_for_the_guard() -> None:
    piece = consigned(percent=18, asking_price=Decimal(10000), floor_price=None)
    agreed(
        piece,
        (0, 25),
        (4000, 12),
        least=Decimal(333),
        reserve=Decimal(8181),
        repairs_by="consignor",
        note="By letter",
    )
    spend(piece, "repair", "60")
    Work.objects.create(
        instrument=piece,
        kind="repair",
        what="Neck reset",
        who="Tobit Hale",
        begun_on=NOON.date(),
        estimate=Decimal(717),
    )
    found = private_of(InquiryFactory(instrument=piece), [piece])
    # 18 per cent of 10,000; 25 per cent of 4,000 and 12 of 6,000; what is left of it, the repair taken off.
    assert {1800, 8200, 1720, 8220, 333, 8181, 717} <= found.figures
    assert {18, 25, 12} <= found.shares
    assert "Tobit Hale" in found.names
    assert "By letter" in found.notes
