"""A shop whose sales are paid for in every way there is, by deeds, in an order that a seed draws."""

from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import cycle
from random import Random

from django.db import transaction

from catalog.models import Acquisition, Cost
from inquiries.models import LedgerRow, Sale, Shipment
from inquiries.sales import actions
from inquiries.sales.charging import charge_shipping, take_back
from inquiries.sales.money_rules import Quoted, comes_to
from inquiries.sales.queries import facts_of, price_charged
from inquiries.sales.steps import Received, add_row, locked, settled
from shop.models import HousePolicy, User
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.steps import cleared, entry, fresh, held

MINUTE = timedelta(minutes=1)
METHODS = [method.value for method in LedgerRow.Method]


def surcharging(percent: str = "2.5") -> HousePolicy:
    """A policy by which cards are charged for."""
    return HousePolicy.objects.create(
        starts=date(2026, 1, 1),
        surcharge_percent=Decimal(percent),
        surcharge_source="The card contract, read on 4 January 2026",
        at=NOON - timedelta(days=100),
    )


class Ledger:
    """Deeds on the sales of one shop. A deed that is refused is left out, as at a desk."""

    def __init__(self, seed: int, owner: User) -> None:
        self.random, self.owner, self.at = Random(seed), owner, NOON
        self.sales: list[Sale] = []
        self.kinds = cycle(["tax", "by-credit", "trade-in", "to-credit", "restocking"])

    def on(self) -> datetime:
        """Time passes."""
        self.at += timedelta(minutes=self.random.randint(1, 600))
        return self.at

    def cents(self, most: Decimal, currency: str) -> Decimal:
        """An amount up to `most`."""
        least = Decimal(1) if currency == "JPY" else Decimal("0.01")
        return max(least, (most * self.random.randint(1, 100) / 100).quantize(least))

    def open(self) -> Sale:
        """A sale in one of three currencies, of a piece that was bought or consigned."""
        currency = self.random.choice(["USD", "USD", "EUR", "JPY"])
        piece = InstrumentFactory(listed=True, currency=currency)
        if self.random.random() < 0.4:
            Acquisition.objects.create(
                instrument=piece,
                how="consigned",
                seller="Orrin Pell",
                on=date(2026, 1, 2),
                commission_percent=Decimal(self.random.choice(["20", "17.5", "33.33"])),
            )
        Cost.objects.create(
            instrument=piece, kind="repair", amount=self.cents(Decimal(400), currency), currency=currency,
            on=date(2026, 2, 3), at=NOON,
        )  # fmt: skip
        price = self.cents(Decimal(20000), currency) + 100
        shipping = self.random.choice([Decimal(0), self.cents(Decimal(300), currency)])
        hold = held(piece, at=self.on())
        money = self.money(price, currency, deposit=True)
        sale = actions.open_sale(
            hold, price=price, shipping=shipping, money=money, by=self.owner, at=self.on()
        )
        self.sales.append(sale)
        return sale

    def money(self, most: Decimal, currency: str, *, deposit: bool = False) -> Received:
        """Money of any kind: part of what is owed or all of it, now and then by card or in another currency."""
        amount = most if self.random.random() < (0.1 if deposit else 0.6) else self.cents(most, currency)
        method = self.random.choice(METHODS)
        if method in {"wire", "ach"}:
            other = self.random.choice([code for code in ("EUR", "JPY", "KWD", "USD") if code != currency])
            rate = Decimal(self.random.randint(5, 30000)) / 1000
            quoted = Quoted(Decimal(int(amount / rate)), other, rate, date(2026, 6, 9), "A bank’s page")
            if quoted.amount and comes_to(quoted, currency) <= most:
                return Received(comes_to(quoted, currency), method, entry(), quoted=quoted)
        return Received(amount, method, entry(), surcharge=method == "card" and self.random.random() < 0.7)

    def deeds(self) -> Iterator[str]:
        """The names of what can be tried."""
        yield from ("pay", "pay", "pay", "clear", "clear", "clear", "refund", "reverse", "charge")
        yield from ("take_back", "charge_shipping", "settle")

    def step(self, name: str, sale: Sale) -> None:
        """Try one deed; a refusal changes nothing."""
        with suppress(Refused), transaction.atomic():
            getattr(self, name)(fresh(sale))

    def pay(self, sale: Sale) -> None:
        """Part of the balance, or all of it."""
        balance = facts_of(sale).balance
        if balance > 0:
            money = self.money(balance, sale.currency)
            actions.record_payment(sale, money, by=self.owner, at=self.on())

    def clear(self, sale: Sale) -> None:
        """The bank books money, in another currency at another amount."""
        rows = list(sale.rows.all())
        row = self.random.choice([row for row in rows if hasattr(row, "exchange")] or rows)
        booked = None
        if hasattr(row, "exchange") and self.random.random() < 0.7:
            booked = self.cents(row.received, sale.currency) + self.random.choice([0, 3])
        actions.mark_cleared(row, by=self.owner, at=self.on(), booked=booked)

    def refund(self, sale: Sale) -> None:
        """Money goes back."""
        paid = facts_of(sale).paid
        if paid > 0:
            method = self.random.choice(METHODS)
            money = Received(self.cents(paid / 4, sale.currency), method, entry())
            actions.refund(sale, money, by=self.owner, at=self.on())

    def reverse(self, sale: Sale) -> None:
        """A row was a mistake."""
        row = self.random.choice(list(sale.rows.exclude(kind="price")))
        actions.reverse_row(row, reason="Mistaken", by=self.owner, at=self.on())

    def take_back(self, sale: Sale) -> None:
        """A part of the price is taken back."""
        amount = self.cents(price_charged(sale.rows.all()) / 10, sale.currency)
        take_back(sale, amount, reason="A worn fret", entry=entry(), by=self.owner, at=self.on())

    def charge_shipping(self, sale: Sale) -> None:
        """Shipping is agreed on later."""
        amount = self.cents(Decimal(100), sale.currency)
        charge_shipping(sale, amount, reason="By air", entry=entry(), by=self.owner, at=self.on())

    def charge(self, sale: Sale) -> None:
        """The kinds of row whose own deeds live in other rooms."""
        kind = next(self.kinds)
        most = Decimal(90) if kind in {"tax", "restocking", "to-credit"} else facts_of(sale).balance / 3
        if most < 1 or sale.ended_at:
            return
        amount = self.cents(most, sale.currency)
        signed = (
            amount
            if kind in {"restocking", "to-credit"} or (kind == "tax" and self.random.random() < 0.7)
            else -amount
        )
        sale = locked(sale)
        add_row(sale, kind, signed, by=self.owner, at=self.on(), entry=entry())
        settled(sale, at=self.at)

    def settle(self, sale: Sale) -> None:
        """Bring the balance to nought, one way or the other."""
        balance = facts_of(sale).balance
        money = Received(abs(balance), "cash", entry())
        if balance > 0:
            actions.record_payment(sale, money, by=self.owner, at=self.on())
        elif balance < 0:
            actions.refund(sale, money, by=self.owner, at=self.on())

    def finish(self, sale: Sale) -> None:
        """Some sales close and their consignor is paid, some fall through, some stay open."""
        how = self.random.random()
        if how < 0.3:
            return
        cleared(sale, at=self.on())
        if how < 0.5:
            back = facts_of(fresh(sale)).paid
            money = Received(self.cents(back, sale.currency), "wire", entry()) if back > 0 else None
            with suppress(Refused), transaction.atomic():
                actions.end_without_sale(
                    fresh(sale), reason="Went away", money=money, by=self.owner, at=self.on()
                )
            return
        self.settle(fresh(sale))
        with suppress(Refused), transaction.atomic():
            parcel = Shipment(
                carrier="Mule Train", uncleared_reason="Known for years", unpictured_reason="Handed over"
            )
            actions.ship(fresh(sale), parcel, by=self.owner, at=self.on())
            there = self.on()
            actions.deliver(fresh(sale), delivered_at=there, note="", by=self.owner, at=there)
            self.at += timedelta(days=3)
            actions.close_sale(fresh(sale), by=self.owner, at=self.at)
            if self.random.random() < 0.6:
                with suppress(Refused), transaction.atomic():
                    actions.pay_consignor(
                        fresh(sale), method=self.random.choice(["wire", "cash"]), by=self.owner, at=self.on()
                    )


def drawn(seed: int, owner: User, *, sales: int = 6, steps: int = 8) -> Ledger:
    """A shop as the seed draws it."""
    shop = Ledger(seed, owner)
    for _ in range(sales):
        sale = shop.open()
        for _ in range(steps):
            shop.step(shop.random.choice(list(shop.deeds())), sale)
        shop.finish(sale)
    return shop
