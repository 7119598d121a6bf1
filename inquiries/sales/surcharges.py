"""Which surcharge came with which payment: the entry of the one is made from the entry of the other."""

from inquiries.sales.ledger_models import LedgerRow

Kind = LedgerRow.Kind
OF = "{}-surcharge"


def surcharge_entry(payment: str) -> str:
    """The entry of the surcharge that comes with the payment of that entry."""
    return OF.format(payment)


def surcharge_with(payment: LedgerRow) -> LedgerRow | None:
    """The surcharge that came with a payment, whether it stands or was undone with it."""
    return LedgerRow.objects.filter(
        sale=payment.sale_id, kind=Kind.SURCHARGE, entry=surcharge_entry(payment.entry)
    ).first()


def surcharge_of(payment: LedgerRow) -> LedgerRow | None:
    """The same, as long as it stands."""
    found = surcharge_with(payment)
    return None if found is None or hasattr(found, "reversed_by") else found


def paid_with(surcharge: LedgerRow) -> LedgerRow | None:
    """The payment that a surcharge came with, as long as it stands."""
    entry = surcharge.entry.removesuffix(surcharge_entry(""))
    return LedgerRow.objects.filter(sale=surcharge.sale_id, entry=entry, reversed_by__isnull=True).first()
