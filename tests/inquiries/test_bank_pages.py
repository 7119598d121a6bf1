"""Money at the desk: the day it came in, what the bank does with it, surcharge, other currencies, the accounts."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inquiries.models import BankStep, Clearing, Exchange, LedgerRow, Sale
from inquiries.sales.queries import facts_of
from shop.models import User
from tests.factories import NOON
from tests.inquiries.conftest import Clock
from tests.inquiries.ledgers import surcharging
from tests.inquiries.steps import entry, fresh, held, opened

DAY = timedelta(days=1)


def url(name: str, sale: Sale) -> str:
    return reverse(name, args=[sale.number])


def money(amount: str, **more: str) -> dict[str, str]:
    return {"amount": amount, "method": "wire", "note": "", "entry": entry()} | more


def euros(**changed: str) -> dict[str, str]:
    typed = money(
        "",
        other_amount="1,000.00",
        other_currency="eur",
        rate="1.08",
        rate_on="2026-06-09",
        rate_source="The bank’s own page",
    )
    return typed | changed


def deposit_of(sale: Sale) -> LedgerRow:
    return sale.rows.get(kind="deposit")


def test_money_is_marked_as_cleared_only_where_the_bank_says_that_it_is_final(helpers: Client) -> None:
    sale = opened()
    row = deposit_of(sale)
    answer = helpers.post(url("sale-cleared", sale), {"row": row.pk})
    assert "Ask the bank whether the money is final" in answer.text
    assert not Clearing.objects.exists()
    assert helpers.post(url("sale-cleared", sale), {"row": row.pk, "final": "on"}).status_code == 302
    page = helpers.get(url("sale", sale)).text
    assert "Received, not final" not in page


def test_each_step_at_the_bank_is_shown_in_words_with_what_is_usually_minded(
    helpers: Client, helper: User
) -> None:
    sale = opened()
    typed = money("400.00", method="cashiers-check")
    helpers.post(url("sale-payment", sale), typed)
    row = sale.rows.get(kind="payment")
    page = helpers.get(url("sale", sale)).text
    assert "seven to ten working days" in page
    assert "12 CFR 229.10 (Regulation CC)" in page
    assert "Common practice, no source" in page
    step = {"row": row.pk, "on": "2026-06-10", "note": "Till 4", "step": "handed-in"}
    for _ in range(2):
        assert helpers.post(url("sale-bank-step", sale), step).status_code == 302
    noted = BankStep.objects.get()
    assert (noted.step, noted.by, noted.note) == ("handed-in", helper, "Till 4")
    page = helpers.get(url("sale", sale)).text
    assert "Handed in at the bank 10 June 2026" in page
    assert facts_of(fresh(sale)).uncleared == Decimal(2900)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"on": "2026-06-11"}, "Check the day"),
        ({"on": "2026-06-09"}, "Check the day"),
        ({"on": ""}, "This field is required"),
        ({"step": "stolen"}, "Select a valid choice"),
    ],
)
def test_a_step_that_cannot_be_comes_back_whole(changed: dict[str, str], said: str, helpers: Client) -> None:
    sale = opened()
    typed = {
        "row": deposit_of(sale).pk,
        "on": "2026-06-10",
        "note": "By telephone",
        "step": "shown",
    } | changed
    answer = helpers.post(url("sale-bank-step", sale), typed)
    assert said in answer.text
    assert 'value="By telephone"' in answer.text
    assert not BankStep.objects.exists()


def test_a_step_of_money_that_was_cleared_meanwhile_is_refused_in_words(helpers: Client) -> None:
    sale = opened()
    row = deposit_of(sale)
    helpers.post(url("sale-cleared", sale), {"row": row.pk, "final": "on"})
    typed = {"row": row.pk, "on": "2026-06-10", "note": "", "step": "shown"}
    answer = helpers.post(url("sale-bank-step", sale), typed)
    assert "does not take this step with this money any more" in answer.text
    assert not BankStep.objects.exists()


def test_a_payment_says_on_which_day_it_came_in(helpers: Client, clock: Clock) -> None:
    sale = opened()
    clock.at = NOON + 5 * DAY
    page = helpers.get(url("sale", sale)).text
    assert 'name="came_in_on" value="2026-06-15"' in page
    assert (
        helpers.post(url("sale-payment", sale), money("100.00", came_in_on="2026-06-12")).status_code == 302
    )
    assert sale.rows.get(kind="payment").received_at.date().isoformat() == "2026-06-12"
    assert "came in 12 June 2026" in helpers.get(url("sale", sale)).text


@pytest.mark.parametrize(
    ("day", "said"),
    [("2026-06-16", "cannot have come in after today"), ("2026-06-09", "was asked for on 10 June 2026")],
)
def test_a_day_that_cannot_be_comes_back(day: str, said: str, helpers: Client, clock: Clock) -> None:
    sale = opened()
    clock.at = NOON + 5 * DAY
    answer = helpers.post(url("sale-payment", sale), money("100.00", came_in_on=day, note="From Ivy"))
    assert said in answer.text
    assert f'value="{day}"' in answer.text
    assert 'value="From Ivy"' in answer.text
    assert not sale.rows.filter(kind="payment").exists()


def test_the_surcharge_is_offered_by_the_policy_alone_and_shows_its_source(helpers: Client) -> None:
    assert "surcharge of" not in helpers.get(url("sale", opened())).text
    surcharging()
    sale = opened()
    page = helpers.get(url("sale", sale)).text
    assert "Charge the surcharge of 2.5 per cent on top" in page
    assert "Not allowed everywhere" in page
    assert "The card contract, read on 4 January 2026" in page
    answer = helpers.post(url("sale-payment", sale), money("1,000.00", surcharge="on"))
    assert "A surcharge is for cards alone" in answer.text
    helpers.post(url("sale-payment", sale), money("1,000.00", surcharge="on", method="card"))
    assert [(row.kind, row.amount) for row in sale.rows.all()][2:] == [
        ("surcharge", Decimal("25.00")),
        ("payment", Decimal("-1025.00")),
    ]
    assert facts_of(fresh(sale)).balance == Decimal(9000)


def test_the_surcharge_can_come_with_the_deposit(helpers: Client) -> None:
    surcharging()
    hold = held()
    typed = money("2,500.00", price="12,500", shipping="", method="card", surcharge="on")
    assert helpers.post(reverse("deposit", args=[hold.pk]), typed).status_code == 302
    assert [(row.kind, row.amount) for row in LedgerRow.objects.all()][1:] == [
        ("surcharge", Decimal("62.50")),
        ("deposit", Decimal("-2562.50")),
    ]


def test_another_currency_counts_by_its_rate_and_the_bank_may_book_another_amount(helpers: Client) -> None:
    sale = opened()
    assert helpers.post(url("sale-payment", sale), euros()).status_code == 302
    row = sale.rows.get(kind="payment")
    kept = Exchange.objects.get(row=row)
    assert (row.received, kept.currency, kept.rate) == (Decimal("1080.00"), "EUR", Decimal("1.08"))
    page = helpers.get(url("sale", sale)).text
    assert "Paid as €1,000, at 1.08 USD for one EUR; rate of 9 June 2026, The bank’s own page" in page
    answer = helpers.post(url("sale-cleared", sale), {"row": row.pk, "final": "on", "booked": "much"})
    assert "cannot be read" in answer.text
    assert 'value="much"' in answer.text
    typed = {"row": row.pk, "final": "on", "booked": "1,075.50"}
    assert helpers.post(url("sale-cleared", sale), typed).status_code == 302
    assert "the bank booked $1,075.50" in helpers.get(url("sale", sale)).text


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"rate": ""}, "With another currency this is needed"),
        ({"rate_source": ""}, "With another currency this is needed"),
        ({"other_currency": "USD"}, "USD is the currency of this sale"),
        ({"other_currency": "ZZZ"}, "is no currency code"),
        ({"other_amount": "1.5"}, "can be read in two ways"),
        ({"amount": "1,100.00"}, "€1,000 at this rate comes to $1,080"),
        (
            {"other_amount": "", "other_currency": "", "rate": "", "rate_on": "", "rate_source": ""},
            "Write the amount",
        ),
        ({"rate": "nought"}, "Enter a number"),
    ],
)
def test_a_rate_that_is_not_whole_comes_back(changed: dict[str, str], said: str, helpers: Client) -> None:
    sale = opened()
    answer = helpers.post(url("sale-payment", sale), euros(note="From Aunt Ivy", **changed))
    assert said in answer.text
    assert 'value="From Aunt Ivy"' in answer.text
    assert not sale.rows.filter(kind="payment").exists()


def test_the_accounts_are_the_owners_and_each_figure_leads_to_its_row(
    owners: Client, helpers: Client
) -> None:
    sale = opened(shipping="180.50")
    assert "All accounts" not in helpers.get(url("sale", sale)).text
    page = owners.get(url("sale", sale)).text
    row = deposit_of(sale)
    assert f'<a href="#row-{row.pk}">Deposit</a>' in page
    assert f'<tr id="row-{row.pk}">' in page
    total = '<td class="number">$15,180.50</td>'
    assert f"{total}{total}" in page.partition("All accounts")[2]


def test_the_page_of_a_sale_costs_the_same_for_any_number_of_payments(owners: Client) -> None:
    sale, counts = opened(), []
    for _ in range(2):
        for _ in range(3):
            owners.post(url("sale-payment", sale), money("100.00", method="personal-check"))
        with CaptureQueriesContext(connection) as found:
            owners.get(url("sale", sale))
        counts.append(len(found))
    assert counts[0] == counts[1]
