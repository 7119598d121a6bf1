"""Two people at a desk who do whatever can be done, in any order: one method for each deed.

A deed looks for something that it can be done to, mostly where it is likely to be allowed and sometimes where it is
not, does it, and gives back its mark: what must stand in the books afterwards, exactly once. Refused says that it did
nothing. To add a deed, add a method to `Deeds`: the state machine, the rivals and the killed processes all do it then.
"""

import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any, Protocol, TypeVar

from django.apps import apps

from catalog.instruments.actions import move, open_record
from catalog.models import Acquisition, Cost, Finding, Instrument, Kind, Maker
from catalog.publishing.actions import publish, withdraw
from inquiries.credit.actions import Traded, give_credit, pay_by_credit, take_in_trade
from inquiries.instalments.actions import agree
from inquiries.instalments.rules import Due
from inquiries.models import (
    Contact,
    Hold,
    Inquiry,
    Inspection,
    InspectionLine,
    IssuedPaper,
    LedgerRow,
    Offer,
    ReturnCall,
    Sale,
    Shipment,
    TaxPolicy,
    TaxRate,
)
from inquiries.offers import actions as offers
from inquiries.papers.issuing import issue_paper
from inquiries.papers.receipts import renew_receipt
from inquiries.returns import actions as returns
from inquiries.sales import actions
from inquiries.sales.charging import charge_shipping, take_back
from inquiries.sales.clearing import note_step
from inquiries.sales.hold_actions import extend_hold, place_hold, release_hold, settle
from inquiries.sales.money_rules import Quoted
from inquiries.sales.posting_rules import in_minor
from inquiries.sales.queries import awaits_clearing, facts_of, runs_at, with_rows
from inquiries.shipping.parcel_actions import record_loss
from inquiries.tax.booking import book_tax
from inquiries.threads.actions import lay_aside, open_inquiry
from shop.models import HousePolicy, User
from tests.factories import NOON, ContactFactory, HelperFactory, OwnerFactory, PhotographFactory, ShopFactory

One = TypeVar("One")
BUYERS, PIECES, FEW = 5, 4, 3
TAX = Decimal(6)
METHODS = [method for method in LedgerRow.Method if method != LedgerRow.Method.CASH]
CASH = LedgerRow.Method.CASH


class Picks(Protocol):
    """Where chance comes from."""

    def upto(self, most: int) -> int:
        """A whole number from nought up to `most`, which is left out."""


@dataclass(frozen=True)
class Mark:
    """What a deed leaves in the books exactly once: a row of a model, by values of its columns."""

    model: str
    columns: dict[str, Any]

    def times(self) -> int:
        """How often it stands there."""
        return int(apps.get_model(self.model).objects.filter(**self.columns).count())


def told(about: str, key: int, verb: str) -> Mark:
    """The entry of the history about a row."""
    return Mark("shop.Entry", {"about": about, "about_id": key, "verb": verb})


def open_shop() -> None:
    """The owner, the helper, the buyers and the first pieces."""
    ShopFactory(address="1 Quarry Road\nRutland, VT 05701", country="US")
    first, begun = date(2026, 1, 1), NOON - timedelta(days=100)
    HousePolicy.objects.create(
        starts=first, surcharge_percent=Decimal(3), surcharge_source="The card contract", at=begun
    )
    TaxPolicy.objects.create(starts=first, scheme="sales-tax", sourcing="origin", at=begun)
    TaxRate.objects.create(
        jurisdiction="Vermont", country="US", state="VT", percent=TAX, starts=first, source="Notice", at=begun
    )
    OwnerFactory(username="ada")
    HelperFactory(username="nell")
    for number in range(BUYERS):
        ContactFactory(
            name=f"Buyer {number}",
            email=f"buyer{number}@machine.example",
            address="4 Mill Lane\nStowe, VT 05401",
            country="US",
        )
    for number in range(PIECES):
        arrive(consigned=number % 3 == 2, at=NOON)


def arrive(*, consigned: bool, at: datetime) -> Instrument:
    """A new piece, with all that publishing asks for, on the public side."""
    kind = Kind.objects.get(slug="banjo")
    maker, _ = Maker.objects.get_or_create(name="Corvane & Sons")
    piece = open_record(
        kind,
        by=None,
        at=at,
        maker=maker,
        asking_price=Decimal(12500),
        grade=Instrument.Grade.EXCELLENT,
        condition="Light wear.",
        story="Found in an attic.",
        made="c. 1931",
        made_evidence="A label.",
        configuration_made=kind.configurations.get(slug="tenor"),
        configuration_now=kind.configurations.get(slug="tenor"),
    )
    part = kind.parts.filter(children=None).first()
    Finding.objects.create(instrument=piece, part=part, state="original", evidence="Seen", examined_at=at)
    for place, view in enumerate(kind.views.filter(required=True)):
        PhotographFactory(
            instrument=piece, view=view, lead=not place, position=place, sha256=uuid.uuid4().hex * 2
        )
    how = "consigned" if consigned else "bought"
    share = Decimal(20) if consigned else None
    Acquisition.objects.create(
        instrument=piece, how=how, seller="Orrin Pell", on=date(2026, 1, 1), commission_percent=share
    )
    Cost.objects.create(
        instrument=piece, kind="purchase", amount=Decimal(4000), currency="USD", on=date(2026, 1, 1), at=at
    )
    move(piece, [Instrument.State.DRAFT], Instrument.State.LISTED, by=None, at=at)
    return piece


class Nothing(Exception):
    """There is nothing that this deed could be done to."""


class Deeds:
    """All that can be done, at an instant, by one of the two."""

    def __init__(self, picks: Picks, *, at: datetime) -> None:
        self._picks, self._at = picks, at
        self._by = self._of(list(User.objects.order_by("pk")))

    def _of(self, some: Sequence[One]) -> One:
        if not some:
            raise Nothing
        return some[self._picks.upto(len(some))]

    def _sale(self, *stages: str) -> Sale:
        """A sale that stands at one of these stages, or now and then any other."""
        sales = list(Sale.objects.order_by("-pk").values_list("pk", "stage")[:12])
        likely = [key for key, stage in sales if stage in stages]
        if not sales or not (likely or not self._picks.upto(4)):
            raise Nothing
        key = self._of(likely if likely and self._picks.upto(8) else [key for key, _ in sales])
        return with_rows(Sale.objects.all()).get(pk=key)

    def _final(self, *stages: str) -> Sale:
        """The same, mostly with all of its money final at the bank."""
        sale = self._sale(*stages)
        for row in sale.rows.all() if self._picks.upto(8) else ():
            if awaits_clearing(row):
                actions.mark_cleared(row, by=self._by, at=self._at)
        return with_rows(Sale.objects.all()).get(pk=sale.pk)

    def _piece(self) -> Instrument:
        """A piece that is listed; now and then any that is not sold."""
        listed = Instrument.objects.filter(state=Instrument.State.LISTED)
        unsold = Instrument.objects.exclude(state=Instrument.State.SOLD)
        return self._of(list((listed if self._picks.upto(12) else unsold).order_by("pk")))

    def _thread(self, piece: Instrument) -> Inquiry:
        buyer = self._of(list(Contact.objects.filter(email__endswith="@machine.example").order_by("pk")))
        return open_inquiry(buyer, piece, by=None, at=self._at)

    def _hold(self) -> Hold:
        """A hold that runs; now and then any that the books call active or queued."""
        running = list(Hold.objects.filter(runs_at(self._at)).order_by("pk"))
        some = Hold.objects.filter(state__in=["active", "queued"]).order_by("pk")
        return self._of(running if running and self._picks.upto(8) else list(some))

    def _row(self, *kinds: str) -> LedgerRow:
        standing = self._sale("DEPOSIT", "PAID", "SHIPPED", "APPROVAL", "APPROVED").rows.all()
        return self._of([row for row in standing if not kinds or row.kind in kinds])

    def _money(self, amount: Decimal, *methods: str) -> actions.Received:
        entry = f"{self._picks.upto(1 << 62):x}-{uuid.uuid4().hex[:12]}"
        return actions.Received(amount, self._of(methods or [CASH, *METHODS]), entry)

    def _some_of(self, whole: Decimal) -> Decimal:
        """The whole of it mostly; else a part, or a cent too much."""
        if whole <= 0:
            return Decimal(1 + self._picks.upto(500))
        kind = self._picks.upto(6)
        if kind > 1:
            return whole
        return whole + Decimal("0.01") if kind else Decimal(1 + self._picks.upto(max(int(whole) - 1, 1)))

    def _moved(self, money: actions.Received, kind: str = "") -> Mark:
        columns: dict[str, Any] = {"entry": money.entry}
        return Mark("inquiries.LedgerRow", columns | ({"kind": kind} if kind else {}))

    # Deeds on a piece.

    def bring_in(self) -> Mark:
        if Instrument.objects.filter(state=Instrument.State.LISTED).count() >= FEW:
            raise Nothing
        piece = arrive(consigned=not self._picks.upto(3), at=self._at)
        return told("instrument", piece.pk, "opened")

    def publish(self) -> Mark:
        down = Instrument.objects.filter(
            state__in=[Instrument.State.WITHDRAWN, Instrument.State.DRAFT], listed_at__isnull=False
        )
        sold = Instrument.objects.filter(state=Instrument.State.SOLD)
        piece = self._of(list((down if self._picks.upto(12) else sold).order_by("-pk")[:3]))
        publish(piece, by=self._by, at=self._at)
        return Mark("catalog.StockNumber", {"number": piece.stock_id})

    def withdraw(self) -> Mark:
        if self._picks.upto(4):
            raise Nothing
        piece = self._piece()
        withdraw(piece, by=self._by, at=self._at)
        return Mark("catalog.StockNumber", {"number": piece.stock_id})

    # Deeds on a promise.

    def hold(self) -> Mark:
        piece = self._piece()
        hours = self._of([None, 1, 24, 72, 500])
        hold = place_hold(piece, self._thread(piece), by=self._by, at=self._at, hours=hours)
        return told("hold", hold.pk, "placed")

    def hold_with_deposit(self) -> Mark:
        piece = self._piece()
        days = self._of([3, 30, 31])
        hold = place_hold(piece, self._thread(piece), by=self._by, at=self._at, balance_hours=days * 24)
        return told("hold", hold.pk, "placed")

    def extend(self) -> Mark:
        hold = self._hold()
        extend_hold(hold, hours=self._of([1, 24, 24, 25]), by=self._by, at=self._at)
        return told("hold", hold.pk, "made longer")

    def release(self) -> Mark:
        hold = self._hold()
        release_hold(hold, by=self._by, at=self._at, reason="They think again")
        return told("hold", hold.pk, "ended")

    def settle(self) -> Mark:
        piece = self._piece()
        settle(piece, at=self._at)
        return Mark("catalog.StockNumber", {"number": piece.stock_id})

    # Deeds on an offer.

    def offer(self) -> Mark:
        entry = f"{self._picks.upto(1 << 62):x}-{uuid.uuid4().hex[:12]}"
        inquiry = self._thread(self._piece())
        until = self._at + timedelta(days=2) if self._picks.upto(2) else None
        offers.make_offer(inquiry, amount=Decimal(9000), until=until, entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.Offer", {"entry": entry})

    def accept(self) -> Mark:
        offer = self._offer()
        offers.accept(offer, behind=bool(self._picks.upto(2)), by=self._by, at=self._at)
        return Mark("inquiries.OfferEnd", {"offer": offer.pk, "how": "accepted"})

    def decline(self) -> Mark:
        offer = self._offer()
        offers.decline(offer, by=self._by, at=self._at)
        return Mark("inquiries.OfferEnd", {"offer": offer.pk, "how": "declined"})

    def _offer(self) -> Offer:
        standing = list(Offer.objects.filter(end__isnull=True).order_by("pk"))
        return self._of(standing if standing and self._picks.upto(8) else list(Offer.objects.order_by("pk")))

    # Deeds on the money of a sale.

    def open_sale(self) -> Mark:
        hold = self._hold()
        price, shipping = Decimal(12500), self._of([Decimal(0), Decimal("85.50")])
        whole = price + price * TAX / 100 + shipping
        amount = self._of([Decimal(2500), Decimal(2500), whole, whole + 1])
        money = self._money(amount)
        actions.open_sale(hold, price=price, shipping=shipping, money=money, by=self._by, at=self._at)
        return self._moved(money)

    def pay(self) -> Mark:
        sale = self._sale("DEPOSIT", "DEPOSIT", "SHIPPED")
        money = self._money(self._some_of(facts_of(sale).balance))
        actions.record_payment(sale, money, by=self._by, at=self._at)
        return self._moved(money, "payment")

    def pay_twice_at_one_press(self) -> Mark:
        sale = self._sale("DEPOSIT")
        money = self._money(self._some_of(facts_of(sale).balance))
        for _ in range(2):
            actions.record_payment(sale, money, by=self._by, at=self._at)
        return self._moved(money, "payment")

    def pay_by_card(self) -> Mark:
        sale = self._sale("DEPOSIT")
        money = self._money(self._some_of(facts_of(sale).balance), "card", "card", "wire")
        actions.record_payment(sale, replace(money, surcharge=True), by=self._by, at=self._at)
        return self._moved(money, "payment")

    def pay_in_euro(self) -> Mark:
        sale = self._sale("DEPOSIT")
        money = self._money(Decimal("110.00"), "wire")
        rate = self._of([Decimal("1.10"), Decimal("1.10"), Decimal("1.20")])
        quoted = Quoted(Decimal("100.00"), "EUR", rate, self._at.date(), "The bank")
        actions.record_payment(sale, replace(money, quoted=quoted), by=self._by, at=self._at)
        return self._moved(money, "payment")

    def note_what_the_bank_did(self) -> Mark:
        row = self._row("deposit", "payment")
        step = self._of(["shown", "shown", "handed-in"])
        note_step(row, step, on=self._at.date(), note="", by=self._by, at=self._at)
        return Mark("inquiries.BankStep", {"row": row.pk, "step": step})

    def clear(self) -> Mark:
        row = self._row("deposit", "payment")
        actions.mark_cleared(row, by=self._by, at=self._at)
        return Mark("inquiries.Clearing", {"row": row.pk})

    def clear_all(self) -> Mark:
        sale = self._sale("PAID", "PAID", "DEPOSIT")
        row = self._of([row for row in sale.rows.all() if row.is_money_in and row.method != CASH])
        actions.mark_cleared(row, by=self._by, at=self._at)
        return Mark("inquiries.Clearing", {"row": row.pk})

    def reverse(self) -> Mark:
        row = self._row()
        actions.reverse_row(row, reason="Typed wrongly", by=self._by, at=self._at)
        return Mark("inquiries.LedgerRow", {"reverses": row.pk})

    def refund(self) -> Mark:
        sale = self._final("DEPOSIT", "PAID", "APPROVAL")
        money = self._money(self._some_of(max(-facts_of(sale).balance, Decimal(50))))
        actions.refund(sale, money, by=self._by, at=self._at)
        return self._moved(money, "refund")

    def take_back(self) -> Mark:
        sale, entry = self._sale("DEPOSIT", "PAID", "APPROVAL"), uuid.uuid4().hex
        amount = Decimal(self._of([1, 250, 20000]))
        take_back(sale, amount, reason="A worn fret", entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.LedgerRow", {"entry": entry, "kind": "credit"})

    def charge_shipping(self) -> Mark:
        sale, entry = self._sale("DEPOSIT", "PAID"), uuid.uuid4().hex
        charge_shipping(sale, Decimal(90), reason="By air", entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.LedgerRow", {"entry": entry, "kind": "shipping"})

    def agree_on_instalments(self) -> Mark:
        sale = self._sale("DEPOSIT")
        balance = in_minor(max(facts_of(sale).balance, Decimal(1)), sale.currency)
        first, entry = balance // 2 or 1, uuid.uuid4().hex
        day = self._at.date() + timedelta(days=1 + self._picks.upto(20))
        dues = [Due(day, first), Due(day + timedelta(days=self._of([0, 20, 20])), balance - first)]
        agree(sale, dues, note="", entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.Plan", {"entry": entry})

    def book_tax(self) -> Mark:
        sale = self._sale("DEPOSIT", "PAID", "APPROVAL")
        row = book_tax(sale, by=self._by, at=self._at)
        return Mark("inquiries.LedgerRow", {"pk": row.pk, "kind": "tax"})

    def give_credit(self) -> Mark:
        sale, entry = self._final("DEPOSIT", "PAID", "APPROVAL"), uuid.uuid4().hex
        amount = self._some_of(min(facts_of(sale).paid, Decimal(300)))
        give_credit(sale, amount, entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.CreditRow", {"row__entry": entry})

    def pay_by_credit(self) -> Mark:
        sale, entry = self._sale("DEPOSIT"), uuid.uuid4().hex
        amount = Decimal(self._of([50, 300, 300, 900]))
        pay_by_credit(sale, amount, entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.CreditRow", {"row__entry": entry})

    def take_in_trade(self) -> Mark:
        sale, entry = self._sale("DEPOSIT"), str(uuid.uuid4())
        value = Decimal(self._of([400, 900, 90000]))
        traded = Traded(Kind.objects.get(slug="mandolin"), "A mandolin", value, entry)
        take_in_trade(sale, traded, by=self._by, at=self._at)
        return Mark("inquiries.TradeIn", {"row__entry": entry})

    # Deeds on papers.

    def make_a_paper(self) -> Mark:
        sale, entry = self._sale("DEPOSIT", "PAID", "SHIPPED", "CLOSED"), uuid.uuid4().hex
        kind = self._of(["invoice", "invoice", "bill", "plan", "return"])
        issue_paper(kind, sale, entry=entry, by=self._by, at=self._at)
        return Mark("inquiries.IssuedPaper", {"entry": entry})

    def make_it_anew(self) -> Mark:
        paper, entry = self._of(list(IssuedPaper.objects.select_related("sale", "row"))), uuid.uuid4().hex
        assert paper.sale, "each of these is of a sale"
        again: dict[str, Any] = {"cancels": paper.version, "reason": "A typing error"}
        press: dict[str, Any] = {"entry": entry, "by": self._by, "at": self._at, **again}
        if paper.row:
            renew_receipt(paper.row, **press)
        else:
            issue_paper(paper.kind, paper.sale, **press)
        return Mark("inquiries.IssuedPaper", {"entry": entry, "version": paper.version + 1})

    # Deeds on the parcel, and the end of a sale.

    def ship(self) -> Mark:
        sale = self._sale("PAID")
        reason = self._of(["", "They are known to us"])
        shipment = Shipment(carrier="Mule Train", unpictured_reason="No camera", uncleared_reason=reason)
        actions.ship(sale, shipment, by=self._by, at=self._at)
        return Mark("inquiries.Shipment", {"sale": sale.pk})

    def hand_over(self) -> Mark:
        sale = self._sale("PAID")
        shipment = Shipment(collected_by="Orrin Pell", identity=self._of(["Passport", ""]))
        actions.ship(sale, shipment, by=self._by, at=self._at)
        return Mark("inquiries.Shipment", {"sale": sale.pk})

    def lose(self) -> Mark:
        if self._picks.upto(3):
            raise Nothing
        sale = self._sale("SHIPPED")
        record_loss(sale, what="It never came", claim="77", by=self._by, at=self._at)
        return Mark("inquiries.Loss", {"shipment__sale": sale.pk})

    def deliver(self) -> Mark:
        sale = self._sale("SHIPPED", "SHIPPED", "LOST")
        there = self._at - timedelta(minutes=self._of([0, 1, 90]))
        actions.deliver(sale, delivered_at=there, note="", by=self._by, at=self._at)
        return Mark("inquiries.Delivery", {"shipment__sale": sale.pk})

    def close(self) -> Mark:
        sale = self._final("APPROVED", "APPROVAL")
        actions.close_sale(sale, by=self._by, at=self._at)
        return told("sale", sale.pk, "closed")

    def pay_consignor(self) -> Mark:
        sale = self._sale("CLOSED")
        actions.pay_consignor(sale, method="wire", by=self._by, at=self._at)
        return Mark("inquiries.Payout", {"sale": sale.pk})

    def announce_return(self) -> Mark:
        sale = self._sale("APPROVAL", "APPROVAL", "APPROVED", "SHIPPED", "LOST")
        call = ReturnCall(
            sale=sale, said_at=self._at, why="It does not suit", late_reason=self._of(["", "Agreed"])
        )
        returns.announce(call, by=self._by, at=self._at)
        return told_some("sale", sale.pk, "comes back")

    def keep_after_all(self) -> Mark:
        sale = self._sale("COMING_BACK")
        returns.drop(sale, why="They like it now", by=self._by, at=self._at)
        return told_some("sale", sale.pk, "kept after all")

    def inspect(self) -> Mark:
        sale = self._sale("COMING_BACK")
        alike = bool(self._picks.upto(2))
        line = InspectionLine(what="Neck", alike=alike, note="" if alike else "A new scratch")
        returns.inspect(Inspection(sale=sale, came_at=self._at), [line], by=self._by, at=self._at)
        return Mark("inquiries.Inspection", {"sale": sale.pk})

    def call_off(self) -> Mark:
        sale = self._final("BACK", "LOST", "BACK", "DEPOSIT")
        paid = facts_of(sale).paid
        back = self._of([paid, paid, paid / 2, Decimal(0)]).quantize(Decimal("0.01"))
        money = self._money(back, CASH, "wire") if back > 0 else None
        off = actions.end_without_sale(sale, reason="Off", money=money, by=self._by, at=self._at)
        return Mark("inquiries.Sale", {"pk": off.pk, "outcome__in": ["returned", "fell-through"]})

    def lay_aside(self) -> Mark:
        """The thread of a buyer who said nothing for long."""
        if self._picks.upto(4):
            raise Nothing
        thread = self._of(list(Inquiry.objects.filter(done_at__isnull=True).order_by("pk")))
        lay_aside(thread, by=self._by, at=self._at)
        return Mark("inquiries.Inquiry", {"pk": thread.pk})


def told_some(about: str, key: int, verb: str) -> Mark:
    """That a sale has a history of this kind; it may have come more than once, so the sale itself is what is there."""
    return Mark("inquiries.Sale", {"pk": key})


DEEDS: dict[str, Callable[[Deeds], Mark]] = {
    name: deed for name, deed in vars(Deeds).items() if not name.startswith("_")
}

# What brings a sale on comes more often, so that many go all the way.
OFTEN = [*DEEDS, *["hold", "open_sale", "pay", "clear_all", "ship", "deliver", "close"] * 2]
