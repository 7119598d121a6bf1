"""Double entry: which account gives and which receives, for each thing that happens to the money of a sale.

Common practice of bookkeeping, no source. The buyer's account is what the buyer owes; `received` holds money that came
in and is not final at the bank, `bank` what is final, `cash` what is in the hand. Revenue is the account `sales` alone,
before tax that lies inside the price is taken out of it; shipping, tax on top, surcharges and fees have accounts of
their own. A charge taken back lowers the sales.
"""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

from shop.money import Money, minor_units


class Entry(NamedTuple):
    """`minor` minor units go from the account `credit` to the account `debit`; always above nought."""

    debit: str
    credit: str
    minor: int


BUYER, SALES, SHIPPING, TAX = "buyer", "sales", "shipping", "tax"
SURCHARGE, FEES, RECEIVED, BANK, CASH = "surcharge", "fees", "received", "bank", "cash"
TRADE_INS, CREDIT, EXCHANGE = "trade-ins", "credit", "exchange"
CONSIGNED, CONSIGNOR = "consigned", "consignor"

IN_HAND = "cash"  # the method of payment that no bank has to make final
CHARGES = {"price": SALES, "credit": SALES, "shipping": SHIPPING, "tax": TAX, "surcharge": SURCHARGE,
           "restocking": FEES, "to-credit": CREDIT, "by-credit": CREDIT, "trade-in": TRADE_INS}  # fmt: skip
MONEY_IN = frozenset({"deposit", "payment"})


def in_minor(amount: Decimal, currency: str) -> int:
    """An amount in minor units by ISO 4217: 12.50 USD are 1250, 12 JPY are 12, 1.250 KWD are 1250."""
    return int(Money(amount, currency).amount.scaleb(minor_units(currency)))


def from_minor(minor: int, currency: str) -> Decimal:
    """The amount again."""
    return Decimal(minor).scaleb(-minor_units(currency))


def moved(debit: str, credit: str, minor: int) -> list[Entry]:
    """One movement; below nought it goes the other way, of nought there is none."""
    if not minor:
        return []
    return [Entry(debit, credit, minor)] if minor > 0 else [Entry(credit, debit, -minor)]


def of_row(kind: str, method: str, minor: int) -> list[Entry]:
    """The entries of a row that is no reversal. `minor` is signed as the row: above nought the buyer owes more."""
    if kind in MONEY_IN:
        return moved(BUYER, CASH if method == IN_HAND else RECEIVED, minor)
    if kind == "refund":
        return moved(BUYER, CASH if method == IN_HAND else BANK, minor)
    return moved(BUYER, CHARGES[kind], minor)


def of_clearing(method: str, quoted: int, booked: int | None = None) -> list[Entry]:
    """The bank has made money final: it moves from what was received to the bank. Cash was final before.

    Of money in another currency the bank may have `booked` more or less than was quoted; that is the exchange's.
    """
    if method == IN_HAND:
        return []
    final = quoted if booked is None else booked
    return [*moved(BANK, RECEIVED, final), *moved(EXCHANGE, RECEIVED, quoted - final)]


def opposite(entries: Iterable[Entry]) -> list[Entry]:
    """What undoes them: every amount goes back to where it came from."""
    return [Entry(entry.credit, entry.debit, entry.minor) for entry in entries]


def of_closing(share: int, tax_inside: int = 0) -> list[Entry]:
    """A sale closes: the consignor's share becomes owed, and tax that lies inside the price is owed, not earned."""
    return [*moved(CONSIGNED, CONSIGNOR, share), *moved(TAX, SALES, -tax_inside)]


def of_payout(method: str, paid: int, owed: int) -> list[Entry]:
    """The consignor is paid. Where the share is another than was `owed` since the closing, that is put right first."""
    return [
        *moved(CONSIGNED, CONSIGNOR, paid - owed),
        *moved(CONSIGNOR, CASH if method == IN_HAND else BANK, paid),
    ]


class Account(NamedTuple):
    """What an account received and gave."""

    received: int
    given: int

    @property
    def balance(self) -> int:
        """What it holds; below nought, what it owes or has earned."""
        return self.received - self.given


def accounts(entries: Iterable[Entry]) -> dict[str, Account]:
    """Each account that was touched. The balances of all add up to nought, whatever the entries are."""
    received: dict[str, int] = defaultdict(int)
    given: dict[str, int] = defaultdict(int)
    for entry in entries:
        received[entry.debit] += entry.minor
        given[entry.credit] += entry.minor
    return {name: Account(received[name], given[name]) for name in sorted({*received, *given})}
