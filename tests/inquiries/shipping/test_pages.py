"""What carriers ask, at the desk; what the page of a sale shows of it; the packing list."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from catalog.models import Included, Kind
from inquiries.models import CarrierRule, Sale, Shipment
from inquiries.shipping.actions import add_carrier_rule
from inquiries.shipping.packing import packing_list
from shop.facts import FactIsFixed
from shop.models import Entry, ShopProfile, User
from tests.factories import NOON
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import fresh, opened, settle

START = date(2026, 1, 1)
DAY = timedelta(days=1)


def rule(**given: Any) -> CarrierRule:
    values = {
        "carrier": "Mule Train",
        "starts": START,
        "divisor": Decimal(139),
        "currency": "USD",
        "source": "Terms, section 4",
        "read_on": START,
    }
    return add_carrier_rule({**values, **given}, by=None, at=NOON)


def pressed(**given: str) -> dict[str, str]:
    values = {
        "carrier": "Mule Train",
        "starts": "2026-07-01",
        "measured": "inches",
        "divisor": "139",
        "side": "up",
        "weight": "whole",
        "girth_limit": "165",
        "longest": "108",
        "heaviest": "150",
        "declared_limit": "1,000",
        "source": "Terms, section 4",
        "read_on": "2026-06-01",
    }
    return {**values, **given}


def typed(**given: str) -> dict[str, str]:
    values = {
        "carrier": "Mule Train",
        "tracking": "MT 0147",
        "carton_length": "48 in",
        "carton_width": "20 in",
        "carton_height": "10 in",
        "weight": "14 lb 6 oz",
        "declared_value": "12,500",
        "unpictured_reason": "The camera was at the mender",
    }
    return {**values, **given}


def words(answer: Any) -> str:
    return " ".join(answer.text.split())


def page(browser: Client, sale: Sale) -> str:
    return words(browser.get(reverse("sale", args=[sale.number])))


def asked(browser: Client, sale: Sale, **given: str) -> str:
    """The page after the figures were asked for."""
    return words(browser.post(reverse("sale-parcel-figures", args=[sale.number]), typed(**given)))


@pytest.fixture
def sale(profile: ShopProfile, clock: Clock) -> Sale:
    return settle(opened(), at=NOON)


def test_the_owner_adds_a_rule_once(owners: Client, owner: User) -> None:
    for _ in range(2):
        assert owners.post(reverse("carrier-rule-new"), pressed()).status_code == 302
    row = CarrierRule.objects.get()
    assert (row.carrier, row.divisor, row.declared_limit, row.currency, row.by) == (
        "Mule Train",
        Decimal(139),
        Decimal(1000),
        "USD",
        owner,
    )
    assert Entry.objects.filter(verb="carrier rule added").count() == 1
    text = words(owners.get(reverse("carrier-rules")))
    assert "Terms, section 4" in text
    assert "In force" not in text, "it begins in July"
    rule()
    assert words(owners.get(reverse("carrier-rules"))).count("In force") == 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"carrier": "Owl Mail"}, "Select a valid choice"),
        ({"divisor": "0"}, "greater than or equal to 0.1"),
        ({"divisor": "", "above": "1728"}, "Write the divisor that applies above this volume."),
        ({"source": ""}, "This field is required"),
        ({"declared_limit": "1.000"}, "can be read in two ways"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_lost(owners: Client, wrong: dict[str, str], says: str) -> None:
    text = words(owners.post(reverse("carrier-rule-new"), pressed(**wrong)))
    assert says in text
    assert 'value="165"' in text
    assert not CarrierRule.objects.exists()


def test_helpers_neither_read_nor_add_the_rules(helpers: Client) -> None:
    assert helpers.get(reverse("carrier-rules")).status_code == 403
    assert helpers.post(reverse("carrier-rule-new"), pressed()).status_code == 403


def test_a_shop_without_carriers_is_told_so(owners: Client) -> None:
    assert "The shop has no carriers yet." not in owners.get(reverse("carrier-rules")).text
    ShopProfile.objects.update(carriers="")
    assert "The shop has no carriers yet." in owners.get(reverse("carrier-rules")).text


def test_a_rule_is_a_fact_with_a_source(db: None, profile: ShopProfile) -> None:
    row = rule()
    with pytest.raises(FactIsFixed):
        row.save()
    with pytest.raises(FactIsFixed):
        row.delete()
    with pytest.raises(IntegrityError), transaction.atomic():
        rule(source="")


def test_the_form_shows_what_the_carton_comes_to_and_records_nothing(helpers: Client, sale: Sale) -> None:
    rule(girth_limit=Decimal(165))
    text = asked(helpers, sale)
    for part in (
        "70 lb",
        "48 × 20 × 10 in ÷ 139 cubic inches per pound is 69.065",
        "48 + 2 × (20 + 10) in; the limit is 165 in.",
        "By the rule of Mule Train from 1 January 2026",
        "Terms, section 4, read on 1 January 2026",
        'value="MT 0147"',
    ):
        assert part in text
    assert not Shipment.objects.exists()


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"weight": "14"}, "has no unit"),
        ({"declared_value": "12.5"}, "can be read in two ways"),
        ({"carton_width": ""}, "Give all three sides of the carton, or none."),
        ({"carton_width": "wide"}, "cannot be read as a measure"),
        ({"carton_width": "20"}, "has no unit"),
        ({"carton_width": "0 in"}, "Write a length above nought"),
        ({"carton_width": "900 in"}, "Write a length above nought and up to 200 in"),
        ({"carton_width": "46 cm"}, "Give all three sides in inches, or all in centimetres."),
        ({"carrier": ""}, "Choose the carrier, or mark it as collected."),
        ({"carrier": "Owl Mail"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_read_is_said_beside_what_can(
    helpers: Client, sale: Sale, given: dict[str, str], says: str
) -> None:
    rule()
    text = asked(helpers, sale, **given)
    assert says in text
    assert ("By the rule of Mule Train" in text) is ("carrier" not in given)


def test_a_parcel_over_every_limit_is_pointed_out_and_goes_all_the_same(helpers: Client, sale: Sale) -> None:
    limits = ("girth_limit", "longest", "heaviest")
    rule(declared_limit=Decimal(1000), **dict.fromkeys(limits, Decimal(10)))
    for text in (
        asked(helpers, sale),
        words(helpers.post(reverse("sale-parcel", args=[sale.number]), typed(), follow=True)),
    ):
        for part in (
            "The longest side, 48 in, is over the 10 in that Mule Train takes; it may be refused.",
            "Length plus girth, 108 in, is over the 10 in",
            "The weight, 14.375 lb, is over the 10 lb",
            "The declared value, $12,500, is over the $1,000 that Mule Train answers for.",
        ):
            assert part in text
    assert Shipment.objects.get().tracking == "MT 0147"


def test_a_parcel_keeps_the_rule_of_the_day_it_left(helpers: Client, sale: Sale, clock: Clock) -> None:
    rule()
    helpers.post(reverse("sale-parcel", args=[sale.number]), typed())
    rule(starts=NOON.date() + DAY, divisor=Decimal(166))
    clock.on(days=3)
    text = page(helpers, fresh(sale))
    assert "÷ 139 cubic inches per pound" in text
    assert "in force on 10 June 2026" in text


def test_the_day_is_that_of_the_shops_clock(helpers: Client, sale: Sale, clock: Clock) -> None:
    """At 03:00 in UTC it is still the day before in New York."""
    rule()
    rule(starts=NOON.date() + DAY, divisor=Decimal(166))
    clock.at = NOON.replace(hour=3) + DAY
    assert "÷ 139 cubic inches" in asked(helpers, sale)
    clock.at = NOON.replace(hour=5) + DAY
    assert "÷ 166 cubic inches" in asked(helpers, sale)


def test_without_a_rule_nothing_is_reckoned(owners: Client, helpers: Client, sale: Sale) -> None:
    rule(carrier="River Post")
    for browser, way in ((owners, reverse("carrier-rules")), (helpers, "The owner can write it down")):
        text = asked(browser, sale)
        assert "No rule of Mule Train for 10 June 2026 is written down" in text
        assert way in text
        assert "Billable weight" not in text


def test_a_piece_collected_in_person_has_no_figures(helpers: Client, sale: Sale) -> None:
    rule()
    assert "By the rule of" not in asked(helpers, sale, collected="on")
    came = {"collected": "on", "collected_by": "Ivy Withers", "identity": "Passport"}
    helpers.post(reverse("sale-parcel", args=[sale.number]), typed(**came))
    assert "By the rule of" not in page(helpers, fresh(sale))


def test_the_packing_list_is_that_of_the_kind(helpers: Client, sale: Sale) -> None:
    Included.objects.create(instrument=sale.instrument, what="A case of red plush")
    address = reverse("sale-packing", args=[sale.number])
    assert address in page(helpers, sale)
    text = words(helpers.get(address))
    assert sale.instrument.kind.slug == "banjo"
    for part in ("fifth-string peg", "before it is sealed", "Ask for a signature", "A case of red plush"):
        assert part in text
    assert "Common practice, no rule of a carrier or insurer" in text
    assert "(from memory)" in text
    Kind.objects.filter(pk=sale.instrument.kind_id).update(slug="zither")
    assert "fifth-string peg" not in helpers.get(address).text


def test_every_kind_that_the_shop_opens_with_has_its_own_steps(db: None) -> None:
    own = {slug: packing_list(slug)[1] for slug in Kind.objects.values_list("slug", flat=True)}
    assert len(own) == len(set(own.values())) == 5
    assert packing_list("zither")[1] not in own.values()


def test_sides_are_kept_and_shown_as_they_were_measured(helpers: Client, sale: Sale) -> None:
    rule()
    text = asked(helpers, sale, carton_length="46½ in", carton_width="18 1/4 in", carton_height="8 in")
    assert "47 × 19 × 8 in" in text, "each side up to a whole inch, by the rule of the carrier"
    helpers.post(reverse("sale-parcel", args=[sale.number]), typed(carton_length="46½ in"))
    assert "46½ in (1181 mm) × 20 in (508 mm) × 10 in (254 mm)" in page(helpers, sale)
    kept = Shipment.objects.get()
    assert (kept.carton_length, kept.carton_unit) == (46 * 64 + 32, "in64")


def test_sides_in_centimetres_stay_what_they_are(helpers: Client, sale: Sale) -> None:
    sides = {"carton_length": "118 cm", "carton_width": "460 mm", "carton_height": "25.5 cm"}
    helpers.post(reverse("sale-parcel", args=[sale.number]), typed(**sides))
    assert "1180 mm (46 29/64 in) × 460 mm (18 7/64 in) × 255 mm (10 3/64 in)" in page(helpers, sale)


@pytest.mark.parametrize(
    "sides",
    [
        {"carton_length": 64},
        {"carton_length": 64, "carton_width": 64, "carton_height": 64},
        {"carton_length": 64, "carton_width": 64, "carton_height": 0, "carton_unit": "in64"},
        {"identity": "Passport"},
    ],
)
def test_the_database_keeps_no_half_carton_and_no_carrier_who_was_known_by_a_paper(
    sides: dict[str, Any], sale: Sale
) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Shipment.objects.create(sale=sale, carrier="Mule Train", currency="USD", at=NOON, **sides)
