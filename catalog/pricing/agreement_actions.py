"""Write down on what terms a piece is on consignment: the owner’s deed. A later row takes an earlier one’s place."""

import uuid
from collections.abc import Callable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.instruments.models import Instrument
from catalog.pricing.models import Acquisition, Agreement, AgreementTier
from catalog.pricing.queries import terms_of
from catalog.pricing.share_rules import Tier, in_words
from shop.history.actions import record
from shop.money import Money
from shop.refusal import Refused
from shop.staff.models import User

FIELD = "agreement"  # of the history; no helper reads it


@transaction.atomic
def add_agreement(
    instrument: Instrument,
    tiers: Sequence[Tier],
    *,
    entry: uuid.UUID,
    by: User | None,
    at: datetime,
    **terms: Any,
) -> Agreement:
    """Add the terms agreed from a day on, in the currency of the record. `entry` names the press of the form.

    Refused for a piece that is not on consignment, and for tiers that do not begin at nought.
    """
    instrument = Instrument.objects.select_for_update().get(pk=instrument.pk)
    if before := Agreement.objects.filter(entry=entry).first():
        return before
    consigned = Acquisition.objects.filter(instrument=instrument, how=Acquisition.How.CONSIGNED)
    if not consigned.exists():
        raise Refused(
            "Only a piece on consignment has an agreement. Say under “Seller” that it is on consignment first.",
            code="not-consigned",
        )
    if not tiers or min(tier.above for tier in tiers):
        raise Refused("The first rate counts from nought. Write it first.", code="no-first-rate")
    tiered = Agreement.Share.TIERED if len(tiers) > 1 else Agreement.Share.FLAT
    kept = Agreement.objects.create(
        instrument=instrument, share=tiered, currency=instrument.currency, entry=entry, by=by, at=at, **terms
    )
    AgreementTier.objects.bulk_create(AgreementTier(agreement=kept, **tier._asdict()) for tier in tiers)
    record(instrument, "agreement added", by=by, at=at, field=FIELD, new=spoken(kept))
    return kept


def spoken(agreement: Agreement) -> str:
    """All the terms of an agreement, in words."""
    return " · ".join(f"{name}: {text}" for name, text in lines_of(agreement))


def lines_of(agreement: Agreement) -> list[tuple[str, str]]:
    """The terms of an agreement as (name, text), what is not agreed left out."""
    money = _money_of(agreement)
    lines = [
        ("From", f"{agreement.starts:%-d %B %Y}"),
        ("Until", f"{agreement.ends:%-d %B %Y}" if agreement.ends else "another takes its place"),
        ("Commission", in_words(terms_of(agreement), money)),
        ("Counted on", agreement.get_basis_display().lower()),
        ("Not to be sold below", money(agreement.reserve) if agreement.reserve else ""),
        ("Repairs, parts and set-up borne by", agreement.get_repairs_by_display().lower()),
        ("Shipping to the shop borne by", agreement.get_shipping_in_by_display().lower()),
        ("Paid out", f"within {agreement.payout_days} days of the end of the approval period"),
        ("Note", agreement.note),
    ]
    return [(name, text) for name, text in lines if text]


def _money_of(agreement: Agreement) -> Callable[[Decimal], str]:
    return lambda amount: str(Money(amount, agreement.currency))
