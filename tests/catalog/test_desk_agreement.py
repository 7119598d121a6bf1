"""The terms of a consigned piece on the page of costs, and what a price would leave."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Acquisition, Agreement, Cost, Instrument
from catalog.pricing.actions import add_cost
from catalog.pricing.agreement_actions import add_agreement, spoken
from catalog.pricing.margin_queries import prospect_of
from catalog.pricing.queries import agreement_on, borne_by_consignor
from catalog.pricing.share_rules import Tier
from shop.models import Entry
from shop.refusal import Refused
from tests.factories import NOON, InquiryFactory, InstrumentFactory

pytestmark = pytest.mark.django_db
TODAY = NOON.date()


def consigned(**fields: object) -> Instrument:
    instrument = InstrumentFactory(**fields)
    Acquisition.objects.create(
        instrument=instrument, how="consigned", seller="Orrin Pell", on=TODAY, commission_percent=Decimal(20)
    )
    return Instrument.objects.get(pk=instrument.pk)


def address(instrument: Instrument) -> str:
    return reverse("costs", args=[instrument.stock_id])


def typed(**values: str) -> dict[str, str]:
    plain = {
        "entry": str(uuid.uuid4()),
        "starts": "2026-06-01",
        "rate_1": "20",
        "basis": "gross",
        "repairs_by": "consignor",
        "shipping_in_by": "consignor",
        "payout_days": "30",
    }
    return {"deed": "agreement"} | {f"agreement-{name}": value for name, value in (plain | values).items()}


def agreed(instrument: Instrument, *tiers: tuple[int, int], **terms: object) -> Agreement:
    rates = [Tier(Decimal(above), Decimal(percent)) for above, percent in tiers or [(0, 20)]]
    plain = {"starts": date(2026, 6, 1), "payout_days": 14}
    return add_agreement(instrument, rates, entry=uuid.uuid4(), by=None, at=NOON, **(plain | terms))


def spend(instrument: Instrument, kind: str, amount: str) -> Cost:
    return add_cost(instrument, kind, Decimal(amount), entry=uuid.uuid4(), on=TODAY, by=None, at=NOON)


def test_an_agreement_is_added_shown_and_kept_in_the_history(owners_desk: Client) -> None:
    piece = consigned()
    answer = owners_desk.post(
        address(piece),
        typed(
            above_2="5,000", rate_2="15", least="250", reserve="9,000", ends="2027-05-31", note="By telephone"
        ),
    )
    assert answer.status_code == 302
    kept = Agreement.objects.get()
    assert [(tier.above, tier.percent) for tier in kept.tiers.all()] == [(0, 20), (5000, 15)]
    assert (kept.share, kept.least, kept.reserve, kept.currency) == ("tiered", 250, 9000, "USD")
    page = owners_desk.get(address(piece)).text
    for words in (
        "20 per cent up to $5,000, 15 per cent above, at least $250",
        "31 May 2027",
        "within 30 days of the end of the approval period",
        "By telephone",
        "$9,000",
    ):
        assert words in page
    assert "20 per cent up to $5,000" in Entry.objects.get(field="agreement").new


def test_a_helpers_history_is_without_it(owners_desk: Client, helpers_desk: Client) -> None:
    piece = consigned()
    owners_desk.post(address(piece), typed(reserve="9,191"))
    path = reverse("record-history", args=[piece.stock_id])
    assert "$9,191" in owners_desk.get(path).text
    assert "$9,191" not in helpers_desk.get(path).text


def test_two_presses_are_one_row(owners_desk: Client) -> None:
    piece, form = consigned(), typed()
    for _ in range(2):
        assert owners_desk.post(address(piece), form).status_code == 302
    assert Agreement.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"rate_1": ""}, "This field is required."),
        ({"rate_1": "101"}, "less than or equal to 100"),
        ({"above_2": "5,000"}, "Write the rate on what lies above this amount."),
        ({"rate_2": "15"}, "Write the amount above which this rate counts."),
        (
            {"above_2": "5,000", "rate_2": "15", "above_3": "5000", "rate_3": "10"},
            "Another rate begins at this amount already.",
        ),
        ({"ends": "2026-05-31"}, "It would end before it begins."),
        ({"reserve": "plenty"}, "cannot be read"),
    ],
)
def test_what_cannot_be_kept_adds_nothing_and_stays_typed(
    owners_desk: Client, wrong: dict[str, str], says: str
) -> None:
    piece = consigned()
    page = owners_desk.post(address(piece), typed(note="By telephone", **wrong)).text
    assert says in page
    assert 'value="By telephone"' in page
    assert not Agreement.objects.exists()


def test_our_own_piece_has_none(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    assert "Consignment agreement" not in owners_desk.get(address(piece)).text
    with pytest.raises(Refused, match="Only a piece on consignment"):
        agreed(piece)


def test_the_first_rate_counts_from_nought() -> None:
    with pytest.raises(Refused, match="counts from nought"):
        agreed(consigned(), (500, 20))


def test_the_one_in_force_began_last_and_goes_on_after_its_end() -> None:
    piece = consigned()
    first = agreed(piece, starts=date(2026, 1, 1), ends=date(2026, 3, 31))
    second = agreed(piece, starts=date(2026, 6, 1))
    third = agreed(piece, starts=date(2026, 6, 1))
    days = [date(2025, 12, 31), date(2026, 1, 1), date(2026, 5, 1), date(2026, 6, 1)]
    assert [agreement_on(piece, day) for day in days] == [None, first, first, third]
    assert agreement_on(piece, days[-1], written_by=NOON - timedelta(seconds=1)) is None
    assert second != third


def test_bought_since_it_has_no_terms() -> None:
    piece = consigned()
    agreed(piece)
    Acquisition.objects.update(how="bought", commission_percent=None)
    assert agreement_on(Instrument.objects.get(pk=piece.pk), TODAY) is None


@pytest.mark.parametrize(
    ("repairs_by", "shipping_in_by", "kinds"),
    [
        ("shop", "shop", []),
        ("consignor", "shop", ["parts", "repair", "setup"]),
        ("shop", "consignor", ["shipping-in"]),
        ("consignor", "consignor", ["parts", "repair", "setup", "shipping-in"]),
    ],
)
def test_who_bears_which_costs(repairs_by: str, shipping_in_by: str, kinds: list[str]) -> None:
    piece = consigned()
    for kind in Cost.Kind.values:
        spend(piece, kind, "10")
    row = agreed(piece, repairs_by=repairs_by, shipping_in_by=shipping_in_by)
    assert sorted(cost.kind for cost in borne_by_consignor(piece.costs.all(), row)) == kinds
    assert borne_by_consignor(piece.costs.all(), None) == []


def test_what_a_price_would_leave_of_our_own() -> None:
    piece = InstrumentFactory(asking_price=Decimal(12500), floor_price=Decimal(10000))
    assert prospect_of(piece, day=TODAY, at=NOON).lines == []
    spend(piece, "purchase", "8000")
    spend(piece, "repair", "500")
    found = prospect_of(piece, day=TODAY, at=NOON)
    assert [(line.name, line.margin, line.percent) for line in found.lines] == [
        ("Asking price", 4000, Decimal("32.0")),
        ("Floor", 1500, Decimal("15.0")),
    ]
    assert found.lines[0].says == "$12,500 less the landed cost of $8,500."


def test_what_a_price_would_leave_of_a_consigned_piece() -> None:
    """20 per cent of 12,500 is 2,500. Of 150 spent the consignor bears the repair, 100; 50 are ours."""
    piece = consigned(asking_price=Decimal(12500))
    spend(piece, "repair", "100")
    spend(piece, "other", "50")
    agreed(piece, repairs_by="consignor")
    (line,) = prospect_of(piece, day=TODAY, at=NOON).lines
    assert (line.share, line.landed, line.margin) == (9900, 150, 2450)
    assert line.says == ("Our commission of $2,500, less our own costs of $50. The consignor bears $100.")


def test_an_open_offer_has_a_line(owners_desk: Client) -> None:
    from inquiries.offers.actions import make_offer

    piece = InstrumentFactory(listed=True)
    spend(piece, "purchase", "8000")
    inquiry = InquiryFactory(instrument=piece, contact__name="Cole Withers")
    make_offer(
        inquiry,
        amount=Decimal(9000),
        trade_in="A mandolin",
        trade_in_value=Decimal(1500),
        entry="one",
        by=None,
        at=NOON,
    )
    line = prospect_of(Instrument.objects.get(pk=piece.pk), day=TODAY, at=NOON).lines[-1]
    assert (line.name, line.price, line.margin) == ("Offer of Cole Withers", 10500, 2500)
    assert "Offer of Cole Withers" in owners_desk.get(address(piece)).text


def test_costs_in_two_currencies_are_not_added_up(owners_desk: Client) -> None:
    piece = InstrumentFactory()
    spend(piece, "purchase", "8000")
    Instrument.objects.filter(pk=piece.pk).update(currency="EUR")
    page = owners_desk.get(address(piece)).text
    assert "Costs stand in more than one currency" in page


def test_an_agreement_in_another_currency_reckons_nothing() -> None:
    piece = consigned()
    agreed(piece)
    Instrument.objects.filter(pk=piece.pk).update(currency="EUR")
    found = prospect_of(Instrument.objects.get(pk=piece.pk), day=TODAY, at=NOON)
    assert found.lines == []
    assert "Add an agreement in EUR" in found.unknown


def test_all_terms_in_words() -> None:
    row = agreed(consigned(), (0, 20), (5000, 15), least=Decimal(250), basis="net", note="By letter")
    assert spoken(row) == (
        "From: 1 June 2026 · Until: another takes its place · Commission: 20 per cent up to $5,000, 15 per cent "
        "above, at least $250 · Counted on: the price less the costs that the consignor bears · Repairs, parts and "
        "set-up borne by: the shop · Shipping to the shop borne by: the consignor · Paid out: within 14 days of the "
        "end of the approval period · Note: By letter"
    )
