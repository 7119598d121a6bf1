"""The page of one sale: its head and its steps, and the panels that each room puts on it.

A room adds a panel with one line in PANELS: a name, a place, and a function that gathers what its template reads.
The template is `templates/desk/sales/_<name>.html`; nothing gathered (None) is nothing shown. All panels share one
context, so what a function returns carries names of its own. A view that refuses a form shows the page again by
`sale_page(request, sale, plan_form=form)`: what is handed in stands before what was gathered, and its panel, which
names its forms, is shown though the sale may have moved on meanwhile. The deed of a small form with one button is
offered by a line in OFFERED instead.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from itertools import accumulate
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inquiries.cash.panel import cash_on
from inquiries.credit.panel import credit_panel
from inquiries.desk.accounts_panel import accounts_panel
from inquiries.desk.bank_panel import bank_panel, paid_as
from inquiries.desk.consignment_forms import add_reason_of_sale
from inquiries.desk.consignor_panel import consignor_panel
from inquiries.desk.money_in_forms import MoneyInForm
from inquiries.desk.paper_panel import papers
from inquiries.desk.parcel_panel import (
    before_sealing,
    delivered_form,
    figures_for,
    loss_form,
    parcel,
    parcel_form,
)
from inquiries.desk.sale_forms import (
    ChargeForm,
    EndForm,
    MoneyForm,
    PayoutForm,
    ReverseForm,
)
from inquiries.desk.way_panel import way_panel
from inquiries.instalments.panel import instalments_panel
from inquiries.instalments.queries import payments_of
from inquiries.papers.models import IssuedPaper
from inquiries.returns.panel import returns_panel
from inquiries.sales.actions import share_due
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.prospects import standing_of
from inquiries.sales.queries import SETTLES, awaits_clearing, facts_of, kind_of, money_received, price_charged
from inquiries.sales.receiving import asked_on
from inquiries.sales.rules import SaleFacts, Stage, Step, allowed, stage
from inquiries.tax.panel import tax_panel
from shop.money import Money
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest
from shop.staff.models import User

ENDS = "The rest of what was charged is taken back, and whoever waits moves up."
ENDS_LOST = (
    "The rest of what was charged is taken back. Whoever waits is released, and stands on Today to be told."
)
GOODS = (
    " What was taken in trade, or paid by store credit, is kept as well unless its row is reversed before."
)
WAY = [Stage.DEPOSIT, Stage.PAID, Stage.SHIPPED, Stage.APPROVAL, Stage.APPROVED, Stage.CLOSED]


@dataclass(frozen=True)
class Line:
    """One row of the ledger with the balance after it."""

    row: LedgerRow
    balance: Decimal

    @property
    def waits(self) -> bool:
        """Whether it is money that is not final."""
        return awaits_clearing(self.row)

    @property
    def paid_as(self) -> str:
        """The amount in another currency that it stands for."""
        return paid_as(self.row)

    @property
    def charges(self) -> bool:
        """Whether it changes what is charged; otherwise what was received."""
        return kind_of(self.row) not in SETTLES

    @property
    def receipt(self) -> IssuedPaper | None:
        """The version of its receipt that stands."""
        return max(self.row.receipts.all(), key=lambda paper: paper.version, default=None)

    @property
    def word(self) -> str:
        """How final the money is; empty for what is charged."""
        if hasattr(self.row, "reversed_by"):
            return "Reversed"
        if not self.row.is_money_in:
            return ""
        if hasattr(self.row, "clearing"):
            return "Cleared"
        return "Not cleared" if awaits_clearing(self.row) else "Cash in hand"

    @property
    def key(self) -> str:
        """The tone of the word."""
        return {"Cleared": "good", "Cash in hand": "good", "Not cleared": "wait"}.get(self.word, "past")


@dataclass(frozen=True)
class Offered:
    """A form of the page: which steps it belongs to, whether only the owner has it, how it is made."""

    steps: tuple[Step, ...]
    owner: bool
    make: Callable[..., forms.Form]


def _money(sale: Sale, data: Any, **options: Any) -> forms.Form:
    amount = max(facts_of(sale).balance, Decimal(0))
    return MoneyInForm(
        data,
        currency=sale.currency,
        today=timezone.now().astimezone(the_shop().zone).date(),
        asked=asked_on(sale),
        policy=sale.terms,
        initial={"amount": amount or None},
        **options,
    )


def _refund(sale: Sale, data: Any, **options: Any) -> forms.Form:
    owed = max(-facts_of(sale).balance, Decimal(0))
    return MoneyForm(data, currency=sale.currency, initial={"amount": owed or None}, **options)


def _charge(sale: Sale, data: Any, **options: Any) -> forms.Form:
    form = ChargeForm(data, currency=sale.currency, **options)
    add_reason_of_sale(form, sale)
    return form


def _reverse(sale: Sale, data: Any, **options: Any) -> forms.Form:
    form = ReverseForm(data, rows=[row for row in sale.rows.all() if may_be_reversed(row)], **options)
    add_reason_of_sale(form, sale)
    return form


def _close(sale: Sale, data: Any, **options: Any) -> forms.Form:
    return forms.Form(data, **options)


def _end(sale: Sale, data: Any, **options: Any) -> forms.Form:
    return EndForm(data, currency=sale.currency, initial={"amount": proposed_refund(sale) or None}, **options)


def proposed_refund(sale: Sale) -> Decimal:
    """What the house policy of the sale pays back when it ends: all, less what is kept at default or at a return.

    Of it only what came in as money: a piece taken in trade goes back itself, and store credit as store credit.
    """
    facts, terms = facts_of(sale), sale.terms
    payments = payments_of(sale, at=timezone.now())
    kept = Decimal(0)
    if facts.delivered_at:
        kept = price_charged(sale.rows.all()) * terms.restocking_percent / 100
    elif payments and payments.in_default:
        kept = facts.paid * terms.default_keeps_percent / 100
    back = min(facts.paid - kept, money_received(sale.rows.all()))
    return max(Money(back, sale.currency).amount, Decimal(0))


def _of_goods(sale: Sale, facts: SaleFacts) -> str:
    return GOODS if facts.paid > money_received(sale.rows.all()) else ""


def _payout(sale: Sale, data: Any, **options: Any) -> forms.Form:
    return PayoutForm(data, **options)


OFFERED: dict[str, Offered] = {
    "payment": Offered((Step.PAY,), False, _money),
    "parcel": Offered((Step.SHIP,), False, parcel_form),
    "delivered": Offered((Step.DELIVER,), False, delivered_form),
    "lost": Offered((Step.LOSE,), False, loss_form),
    "close": Offered((Step.CLOSE,), False, _close),
    "charge": Offered((Step.CHARGE,), True, _charge),
    "refund": Offered((Step.REFUND,), True, _refund),
    "reverse": Offered((Step.REVERSE,), True, _reverse),
    "end": Offered((Step.RETURN, Step.FALL_THROUGH), True, _end),
}


def form_of(name: str, sale: Sale, data: Any = None) -> forms.Form:
    """The form `name` of a sale, bound when there is `data`."""
    make = OFFERED[name].make if name in OFFERED else _payout
    return make(sale, data, auto_id=f"id_{name}_%s")


def offered(sale: Sale, facts: SaleFacts, *, user: User, at: datetime) -> dict[str, forms.Form]:
    """The forms that the table of steps allows at `at`, for what `user` may do."""
    may = {
        name
        for name, form in OFFERED.items()
        if (user.is_owner or not form.owner) and any(allowed(step, facts, at=at) for step in form.steps)
    }
    if facts.balance <= 0:
        may.discard("payment")
    if not facts.paid:
        may.discard("refund")
    if user.is_owner and consignor_waits(sale):
        may.add("consignor")
    return {name: form_of(name, sale) for name in may}


def consignor_waits(sale: Sale) -> bool:
    """Whether the consignor of a closed sale has still to be paid."""
    closed = sale.outcome == Sale.Outcome.CLOSED
    return closed and not hasattr(sale, "payout") and bool(share_due(sale))


def may_be_reversed(row: LedgerRow) -> bool:
    """Whether a row can be undone by its opposite: once, and not a reversal itself."""
    return row.kind != LedgerRow.Kind.REVERSAL and not hasattr(row, "reversed_by")


def lines_of(sale: Sale) -> list[Line]:
    """The ledger in the order of time, with the running balance."""
    rows = list(sale.rows.all())
    balances = accumulate(row.amount for row in rows)
    return [Line(row, balance) for row, balance in zip(rows, balances, strict=True)]


class Place(StrEnum):
    """Where on the page a panel stands."""

    ABOVE = "above"  # before the ledger
    MONEY = "money"  # under the ledger
    BELOW = "below"  # under the steps, in the wide column
    BESIDE = "beside"  # in the narrow column


Gather = Callable[[Sale, SaleFacts, User, datetime], dict[str, Any] | None]


@dataclass(frozen=True)
class SalePanel:
    """One part of the page. `forms` are those that may come back to it when it has nothing else to show."""

    name: str
    place: Place
    gather: Gather
    forms: tuple[str, ...] = ()

    @property
    def template(self) -> str:
        """What shows it."""
        return f"desk/sales/_{self.name}.html"


def taxes(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """What the shop's own rates give."""
    found = tax_panel(sale, user=user, at=at)
    return {"tax": found} if found else None


PANELS = [
    SalePanel("way", Place.ABOVE, way_panel),
    SalePanel("bank", Place.MONEY, bank_panel),
    SalePanel("instalments", Place.MONEY, instalments_panel, ("plan_form",)),
    SalePanel("credit", Place.MONEY, credit_panel, ("use_form", "give_form", "trade_form")),
    SalePanel("tax", Place.MONEY, taxes),
    SalePanel("before_sealing", Place.MONEY, before_sealing, ("pictures_form",)),
    SalePanel("parcel", Place.MONEY, parcel),
    SalePanel("consignor", Place.MONEY, consignor_panel),
    SalePanel("returns", Place.BELOW, returns_panel, ("return_form", "keep_form")),
    SalePanel("papers", Place.BELOW, papers),
    SalePanel("accounts", Place.BELOW, accounts_panel),
]


def sale_page(request: DeskRequest, sale: Sale, **shown: Any) -> HttpResponse:
    """The page of a sale; `shown` are forms of panels that came back, under the names their panels give them."""
    context = context_of(sale, user=request.user, at=timezone.now(), shown=shown)
    return render(request, "desk/sales/sale.html", context)


def context_of(
    sale: Sale,
    *,
    user: User,
    at: datetime,
    bound: Mapping[str, forms.Form] | None = None,
    shown: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Everything the template of a sale reads. `bound` are small forms that came back with errors, `shown` what stands
    before what the panels gather."""
    shown = shown or {}
    facts = facts_of(sale)
    now = stage(facts, at=at)
    shipment = getattr(sale, "shipment", None)
    delivery = getattr(shipment, "delivery", None)
    gathered = [(panel, panel.gather(sale, facts, user, at)) for panel in PANELS]
    context: dict[str, Any] = {}
    for _, found in gathered:
        context |= found or {}
    standing = [
        panel for panel, found in gathered if found is not None or not shown.keys().isdisjoint(panel.forms)
    ]
    own = {
        "panels": {place.value: [panel for panel in standing if panel.place == place] for place in Place},
        "sale": sale,
        "facts": facts,
        "stage": now,
        "way": [(step, _mark(step, now)) for step in WAY],
        "lines": lines_of(sale),
        "forms": offered(sale, facts, user=user, at=at) | dict(bound or {}),
        "shipment": shipment,
        "carrier_says": figures_for(sale, (bound or {}).get("parcel"), at=at),
        "delivery": delivery,
        "standing": standing_of(sale.instrument, at=at),
        **cash_on(sale, user, at),
        "refund_due": facts.balance < 0,
        "end_title": "Settle the return" if now == Stage.BACK else "Let the sale fall through",
        "end_text": (ENDS_LOST if now == Stage.LOST else ENDS) + _of_goods(sale, facts),
        "share_text": f"The share is {Money(share_due(sale), sale.currency)}." if user.is_owner else "",
        "at": at,
    }
    return context | own | dict(shown)


def _mark(step: Stage, now: Stage) -> str:
    if now not in WAY:
        return ""
    here, there = WAY.index(now), WAY.index(step)
    return "now" if here == there else "done" if there < here else ""
