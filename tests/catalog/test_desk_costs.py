"""Costs and seller: the owner's page."""

import uuid
from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Acquisition, Cost, Instrument
from catalog.pricing.queries import landed_cost
from shop.models import Entry
from tests.factories import InstrumentFactory

pytestmark = pytest.mark.django_db


def address(instrument: Instrument) -> str:
    return reverse("costs", args=[instrument.stock_id])


def cost(**typed: str) -> dict[str, str]:
    values = {"entry": str(uuid.uuid4()), "kind": "repair", "amount": "1,250.50", "on": "2026-05-04", **typed}
    return {"deed": "cost"} | {f"cost-{name}": value for name, value in values.items()}


def seller(**typed: str) -> dict[str, str]:
    values = {"how": "bought", "seller": "Estate of O. Brindle", "on": "2026-04-02", **typed}
    return {"deed": "seller"} | {f"acquisition-{name}": value for name, value in values.items()}


def test_the_page_is_the_owners(client: Client, helpers_desk: Client, owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    assert client.get(address(instrument))["Location"].startswith(reverse("log-in"))
    assert helpers_desk.get(address(instrument)).status_code == 403
    assert helpers_desk.post(address(instrument), cost()).status_code == 403
    assert owners_desk.get(address(instrument)).status_code == 200
    assert owners_desk.put(address(instrument)).status_code == 405
    assert not Cost.objects.exists()


def test_a_helper_is_not_shown_the_way_there(helpers_desk: Client, owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    record = reverse("record", args=[instrument.stock_id])
    assert address(instrument) in owners_desk.get(record).content.decode()
    assert address(instrument) not in helpers_desk.get(record).content.decode()


def test_rows_add_up_to_the_landed_cost(owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    owners_desk.post(address(instrument), cost(kind="purchase", amount="8,000"))
    owners_desk.post(address(instrument), cost())
    owners_desk.post(address(instrument), cost(takes_back="on", note="Written twice"))
    assert [row.amount for row in instrument.costs.order_by("pk")] == [
        Decimal("8000"),
        Decimal("1250.50"),
        Decimal("-1250.50"),
    ]
    assert landed_cost(instrument).amount == Decimal("8000")
    page = owners_desk.get(address(instrument)).content.decode()
    assert '<td class="number">$8,000</td></tr></tfoot>' in page.replace("\n", "").replace("  ", "")


def test_two_presses_are_one_row(owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    shown = owners_desk.get(address(instrument)).context["cost"]["entry"].value()
    typed = cost(entry=str(shown))
    for _ in range(2):
        assert owners_desk.post(address(instrument), typed).status_code == 302
    assert Cost.objects.count() == 1
    assert Entry.objects.filter(field="costs").count() == 1


@pytest.mark.parametrize(
    "wrong", [{"amount": "plenty"}, {"amount": ""}, {"amount": "0"}, {"on": "soon"}, {"kind": "gift"}]
)
def test_a_cost_that_cannot_be_read_adds_nothing_and_stays_typed(
    owners_desk: Client, wrong: dict[str, str]
) -> None:
    instrument = InstrumentFactory()
    page = owners_desk.post(address(instrument), cost(note="New frets", **wrong)).content.decode()
    assert 'value="New frets"' in page
    assert "Nothing was saved yet" in page
    assert not Cost.objects.exists()


def test_the_seller_is_kept_and_told_in_the_history(owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    assert owners_desk.post(address(instrument), seller()).status_code == 302
    owners_desk.post(address(instrument), seller(how="consigned", commission_percent="18.5"))
    owners_desk.post(address(instrument), seller(how="consigned", commission_percent="18.5"))
    kept = Acquisition.objects.get(instrument=instrument)
    assert (kept.seller, kept.on, kept.commission_percent) == (
        "Estate of O. Brindle",
        date(2026, 4, 2),
        Decimal("18.5"),
    )
    told = Entry.objects.filter(field="seller").order_by("pk")
    assert [entry.new for entry in told] == [
        "Bought from Estate of O. Brindle · 02 April 2026",
        "On consignment from Estate of O. Brindle · 02 April 2026 · 18.5 per cent",
    ]


def test_the_sellers_invoice_and_his_vat_are_kept(owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    owners_desk.post(address(instrument), seller(invoice_number="R-17", vat_charged="on"))
    kept = Acquisition.objects.get(instrument=instrument)
    assert (kept.invoice_number, kept.vat_charged) == ("R-17", True)
    told = "Bought from Estate of O. Brindle · 02 April 2026 · invoice R-17 · VAT charged by the seller"
    assert Entry.objects.get(field="seller").new == told
    shown = owners_desk.get(address(instrument))
    assert shown.context["seller"]["vat_charged"].value() is True
    assert 'value="R-17"' in shown.text


def test_whether_vat_was_charged_stands_once_it_is_sold(owners_desk: Client) -> None:
    instrument = InstrumentFactory(sold=True)
    Acquisition.objects.create(instrument=instrument, how="bought", seller="O. Brindle", on=date(2026, 4, 2))
    page = owners_desk.post(address(instrument), seller(invoice_number="R-17", vat_charged="on")).text
    assert "the sale was reckoned by what stood here" in page
    assert 'value="R-17"' in page
    assert owners_desk.post(address(instrument), seller(invoice_number="R-17")).status_code == 302
    assert Acquisition.objects.get().invoice_number == "R-17"


@pytest.mark.parametrize(
    "wrong",
    [
        {"how": "consigned"},
        {"commission_percent": "10"},
        {"how": "consigned", "commission_percent": "130"},
        {"how": "consigned", "commission_percent": "10", "vat_charged": "on"},
    ],
)
def test_commission_goes_with_consignment_alone(owners_desk: Client, wrong: dict[str, str]) -> None:
    instrument = InstrumentFactory()
    page = owners_desk.post(address(instrument), seller(**wrong)).content.decode()
    assert 'value="Estate of O. Brindle"' in page
    assert "Nothing was saved yet" in page
    assert not Acquisition.objects.exists()


def test_a_helpers_history_is_without_costs_and_seller(owners_desk: Client, helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    owners_desk.post(address(instrument), cost(amount="7,171"))
    owners_desk.post(address(instrument), seller())
    path = reverse("record-history", args=[instrument.stock_id])
    owners, helpers = owners_desk.get(path).content.decode(), helpers_desk.get(path).content.decode()
    assert "7171.00" in owners
    assert "Brindle" in owners
    assert "7171" not in helpers
    assert "Brindle" not in helpers


def test_a_third_decimal_is_refused_rather_than_lost(owners_desk: Client) -> None:
    """A record keeps two, also of a currency that has three."""
    instrument = InstrumentFactory(currency="KWD")
    text = owners_desk.post(address(instrument), cost(amount="1,250.125")).content.decode()
    assert "has more decimals than the 2 that are kept here. Write one such as 1250.120." in text
    assert not Cost.objects.exists()
    owners_desk.post(address(instrument), cost(amount="1,250.120"))
    assert [(row.amount, row.currency) for row in Cost.objects.all()] == [(Decimal("1250.12"), "KWD")]
