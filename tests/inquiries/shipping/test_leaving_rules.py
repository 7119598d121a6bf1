"""What must be written before a piece leaves. Our own rules; common practice, no source."""

from decimal import Decimal

import pytest

from inquiries.shipping.address_countries import AUSTRALIAN, PROVINCES, STATES
from inquiries.shipping.clock_rules import REGION_ZONES, zone_of_region
from inquiries.shipping.leaving_rules import names_a_number, over_limit
from inquiries.shipping.zones import proposed_zone, zone_groups
from shop.money import Money


def dollars(amount: str, currency: str = "USD") -> Money:
    return Money(Decimal(amount), currency)


@pytest.mark.parametrize(
    ("declared", "limit", "over"),
    [
        (dollars("10000.00"), dollars("10000"), False),
        (dollars("10000.01"), dollars("10000"), True),
        (None, dollars("10000"), False),
        (dollars("99999"), None, False),
        (dollars("99999", "EUR"), dollars("10000"), False),
    ],
)
def test_only_more_than_the_limit_in_its_own_currency_is_above_it(
    declared: Money | None, limit: Money | None, over: bool
) -> None:
    assert over_limit(declared, limit) is over


@pytest.mark.parametrize(
    "text",
    [
        "Passport 123456789",
        "C01X00T47",
        "driving licence D 123-4567",
        "card no. 12 34 56",
        "ID 1.2.3.4.5",
        "AB123",
    ],
)
def test_a_number_of_a_document_is_told(text: str) -> None:
    assert names_a_number(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Passport",
        "Driving licence, seen 2026",
        "Known since the show of 1998",
        "Bought here in 2004 and 2019",
        "A4 letter",
    ],
)
def test_a_kind_of_paper_or_a_year_is_no_number(text: str) -> None:
    assert not names_a_number(text)


@pytest.mark.parametrize(
    ("country", "address", "zone"),
    [
        ("US", "Ada Finch\n7 Mill Lane\nAlbury, OR 97001", "America/Los_Angeles"),
        ("US", "", "America/Chicago"),
        ("CA", "Ada Finch\n7 Mill Lane\nAlbury NS B0A 1A0", "America/Halifax"),
        ("SE", "", "Europe/Stockholm"),
        ("DE", "", "Europe/Berlin"),
        ("BR", "", "America/Chicago"),
        ("", "", "America/Chicago"),
    ],
)
def test_the_zone_proposed_is_that_of_the_place_or_else_the_shops(
    country: str, address: str, zone: str
) -> None:
    assert proposed_zone(country, address, shop="America/Chicago") == zone


def test_every_state_and_province_has_a_zone_that_exists() -> None:
    for country, regions in (("US", STATES), ("CA", PROVINCES), ("AU", AUSTRALIAN)):
        places = {region for region in regions if not zone_of_region(country, region)}
        assert places <= {"AA", "AE", "AP", "AS"}, (
            "armed forces abroad, and American Samoa, are not guessed at"
        )
        named = {zone for _, names in zone_groups(country) for zone, _ in names}
        assert set(REGION_ZONES[country]) <= named
