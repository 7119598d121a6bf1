"""What stays in the house, and what this person may read, gathered for the guard from the record and the threads.

Of a letter's own piece, and of every other piece whose stock number it names.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q

from catalog.models import (
    Acquisition,
    Agreement,
    AgreementTier,
    Cost,
    DatingEvidence,
    Finding,
    Instrument,
    Paper,
    Provenance,
    Work,
)
from catalog.pricing.queries import borne_by_consignor, terms_of
from catalog.pricing.share_rules import Terms, flat, reckon
from catalog.public.shown.listing import Listing
from catalog.public.shown.pictures import Picture
from inquiries.answering.guard import Known, Private
from inquiries.answering.private_terms import notes_on_terms, others_terms, own_terms
from inquiries.answering.queries import pieces, told_of
from inquiries.offers.models import Offer
from inquiries.papers.models import IssuedPaper
from inquiries.people.models import Contact, OtherAddress
from inquiries.sales.hold_models import Hold
from inquiries.sales.ledger_models import BankStep, LedgerRow, Payout
from inquiries.sales.rules import usual_deposit
from inquiries.shipping.models import Shipment
from inquiries.threads.models import Inquiry, Message
from shop.money import minor_units
from shop.policies.queries import policy_at
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.models import User

_STOCK = re.compile(r"\b(?:no|nr|number|stock)\b\.?\s*#?\s*([0-9]{1,9})\b|#\s*([0-9]{1,9})\b", re.IGNORECASE)
_MAIL = re.compile(r"[^\s@<>,;:]+@[^\s@<>,;:]+")
_NUMBER = re.compile(r"\+?[0-9][0-9 ()./-]{5,}[0-9]")
NOT_WORDS = {"pictures", "bare", "recordings"}  # of a listing: tokens and addresses, no words


def spoken_of(text: str, inquiry: Inquiry, *, at: datetime) -> list[Any]:
    """The pieces that a letter is about: that of its thread, and those whose stock numbers it names."""
    named = [int(one or other) for one, other in _STOCK.findall(text)]
    return list(pieces(Instrument.objects.filter(Q(pk=inquiry.instrument_id) | Q(stock__in=named)), at=at))


def private_of(inquiry: Inquiry, about: Iterable[Instrument]) -> Private:
    """All that stays in the house of these pieces, for the person of this thread."""
    keys = [piece.pk for piece in about]
    others = _others(inquiry, keys)
    sellers = list(Acquisition.objects.filter(instrument__in=keys))
    reached = [row.seller_contact for row in sellers]
    return Private(
        figures=frozenset(_figures(inquiry, about, sellers)),
        shares=frozenset(_rates(keys, sellers)),
        names=tuple(dict.fromkeys([*_names(keys, sellers), *(other.name for other in others)])),
        addresses=frozenset(
            [*_addresses(others), *(found for text in reached for found in _MAIL.findall(text))]
        ),
        telephones=frozenset(
            [
                *(number for other in others for number in (other.telephone, other.telephone_e164) if number),
                *(found for text in reached for found in _NUMBER.findall(text)),
            ]
        ),
        notes=tuple(filter(None, _notes(inquiry, keys, sellers, others))),
    )


def known_to(inquiry: Inquiry, about: Iterable[Any], shop: ShopProfile, *, at: datetime) -> Known:
    """What the person of this thread may read: of the record what is public, of the rest what is their own."""
    contact = inquiry.contact
    told = [told_of(piece, shop, at=at) for piece in about]
    staff = User.objects.values_list("first_name", "last_name")
    house = [
        shop.name,
        shop.owner_name,
        shop.address,
        shop.about,
        shop.terms,
        shop.guarantee,
        shop.hours,
        shop.carriers,
    ]
    return Known(
        figures=frozenset(_public_figures(inquiry, about, at=at)),
        shares=frozenset({policy_at(at).deposit_percent}),
        words="\n".join(
            [
                contact.name,
                *house,
                *(" ".join(name) for name in staff),
                *(words for one in told for words in _words(one.shown)),
            ]
        ),
        said="\n".join(inquiry.messages.values_list("body", flat=True)),
        addresses=frozenset(
            [contact.email, shop.email, *contact.other_addresses.values_list("email", flat=True)]
        ),
        telephones=frozenset(filter(None, [contact.telephone, contact.telephone_e164, shop.telephone])),
    )


def _others(inquiry: Inquiry, keys: list[int]) -> list[Contact]:
    """Everybody else who asked for one of these pieces, has it on hold, bought it, offered for it or was told of it."""
    asked = (
        Q(inquiries__instrument__in=keys)
        | Q(holds__instrument__in=keys)
        | Q(sales__instrument__in=keys)
        | Q(wants__calls__first_call__instrument__in=keys)
    )
    return list(Contact.objects.filter(asked).exclude(pk=inquiry.contact_id).distinct())


def _figures(
    inquiry: Inquiry, about: Iterable[Instrument], sellers: Iterable[Acquisition]
) -> Iterator[Decimal]:
    keys = [piece.pk for piece in about]
    landed: dict[int, Decimal] = {}
    costs: dict[int, list[Cost]] = {}
    for cost in Cost.objects.filter(instrument__in=keys):
        costs.setdefault(cost.instrument_id, []).append(cost)
        landed[cost.instrument_id] = landed.get(cost.instrument_id, Decimal(0)) + cost.amount
        yield abs(cost.amount)
    yield from landed.values()
    estimates = Work.objects.filter(instrument__in=keys, estimate__isnull=False)
    yield from filter(None, estimates.values_list("estimate", flat=True))
    pieces = {piece.pk: piece for piece in about}
    yield from (piece.floor_price for piece in about if piece.floor_price is not None)
    for seller in sellers:
        if seller.commission_percent is not None:
            yield from _divided(pieces[seller.instrument_id], flat(seller.commission_percent))
    for agreement in Agreement.objects.filter(instrument__in=keys).prefetch_related("tiers"):
        yield from filter(None, [agreement.least, agreement.reserve])
        borne = borne_by_consignor(costs.get(agreement.instrument_id, []), agreement)
        in_all = sum((cost.amount for cost in borne), Decimal(0))
        yield from _divided(pieces[agreement.instrument_id], terms_of(agreement), in_all)
    yield from Payout.objects.filter(sale__instrument__in=keys).values_list("amount", flat=True)
    ledger = LedgerRow.objects.filter(sale__instrument__in=keys).exclude(sale__contact=inquiry.contact_id)
    for booked in ledger.values_list("amount", "exchange__amount", "clearing__amount"):
        yield from map(abs, filter(None, booked))
    yield from others_terms(inquiry.contact, keys)
    offers = Offer.objects.filter(instrument__in=keys).exclude(inquiry__contact=inquiry.contact_id)
    for amounts in offers.values_list("amount", "trade_in_value"):
        yield from _amounts(*amounts)
    quoted = IssuedPaper.objects.filter(instrument__in=keys, kind=IssuedPaper.Kind.QUOTATION)
    for paper in quoted.exclude(inquiry__contact=inquiry.contact_id):
        yield from _quoted(paper)


def _divided(piece: Instrument, terms: Terms, borne: Decimal = Decimal(0)) -> Iterator[Decimal]:
    """Commission and share of the price of a piece, and of its floor."""
    for price in filter(None, [piece.asking_price, piece.floor_price]):
        found = reckon(price, terms, borne=borne, digits=minor_units(piece.currency))
        yield from filter(None, [found.commission, found.share])


def _rates(keys: list[int], sellers: Iterable[Acquisition]) -> Iterator[Decimal]:
    """Every rate of a commission on these pieces."""
    yield from (row.commission_percent for row in sellers if row.commission_percent is not None)
    yield from AgreementTier.objects.filter(agreement__instrument__in=keys).values_list("percent", flat=True)


def _quoted(paper: IssuedPaper) -> Iterator[Decimal]:
    """Every amount that a quotation names."""
    yield from filter(None, map(Decimal, paper.content["amounts"].values()))


def _amounts(money: Decimal, trade_in: Decimal | None) -> Iterator[Decimal]:
    """What an offer names, and what it comes to together."""
    yield from filter(None, [money, trade_in, money + (trade_in or 0)])


def _public_figures(inquiry: Inquiry, about: Iterable[Any], *, at: datetime) -> Iterator[Decimal]:
    """The price with its deposit and what is left then, list prices, and this person's own offers and payments."""
    percent = policy_at(at).deposit_percent
    for piece in about:
        if piece.asking_price is not None:
            deposit = usual_deposit(piece.asking_price, percent, piece.currency)
            yield from (piece.asking_price, deposit, piece.asking_price - deposit)
        for row in piece.model.list_prices.all() if piece.model else ():
            yield row.amount
    for row in Offer.objects.filter(inquiry__contact=inquiry.contact_id):
        yield from filter(None, [*_amounts(row.amount, row.trade_in_value), row.asked])
    for paper in IssuedPaper.objects.filter(inquiry__contact=inquiry.contact_id):
        yield from _quoted(paper)
    yield from own_terms(inquiry.contact)
    sums: dict[int, Decimal] = {}
    rows = LedgerRow.objects.filter(sale__contact=inquiry.contact_id).select_related("exchange")
    for row in rows.order_by("at", "pk"):
        sums[row.sale_id] = sums.get(row.sale_id, Decimal(0)) + row.amount
        yield from (abs(row.amount), abs(sums[row.sale_id]))
        if hasattr(row, "exchange"):
            yield row.exchange.amount


def _names(keys: list[int], sellers: Iterable[Acquisition]) -> Iterator[str]:
    yield from (row.seller for row in sellers)
    yield from Work.objects.filter(instrument__in=keys).values_list("who", flat=True)
    entries = Provenance.every.filter(instrument__in=keys, consent_on__isnull=True)
    yield from entries.exclude(person="").values_list("person", flat=True)
    for row in Finding.objects.filter(instrument__in=keys).values_list("work_by", "seen_by"):
        yield from filter(None, row)
    yield from (
        Paper.objects.filter(instrument__in=keys).exclude(from_whom="").values_list("from_whom", flat=True)
    )


def _addresses(others: Iterable[Contact]) -> Iterator[str]:
    keys = []
    for other in others:
        keys.append(other.pk)
        if other.email:
            yield other.email
    yield from OtherAddress.objects.filter(contact__in=keys).values_list("email", flat=True)


def _notes(
    inquiry: Inquiry, keys: list[int], sellers: Iterable[Acquisition], others: Iterable[Contact]
) -> Iterator[str]:
    """Private notes, and what others wrote of these pieces."""
    yield inquiry.contact.note
    yield from (row.note for row in sellers)
    yield from (other.note for other in others)
    yield from Cost.objects.filter(instrument__in=keys).values_list("note", flat=True)
    yield from Agreement.objects.filter(instrument__in=keys).values_list("note", flat=True)
    yield from Paper.objects.filter(instrument__in=keys).values_list("note", flat=True)
    for told in DatingEvidence.every.filter(instrument__in=keys).values_list("note", "struck_reason"):
        yield from told
    for kept in Provenance.every.filter(instrument__in=keys).values_list(
        "private", "consent_how", "struck_reason"
    ):
        yield from kept
    yield from Hold.objects.filter(instrument__in=keys).values_list("reason", flat=True)
    parcels = Shipment.objects.filter(sale__instrument__in=keys)
    for reasons in parcels.values_list("limit_reason", "unpictured_reason", "uncleared_reason"):
        yield from reasons
    yield from notes_on_terms(inquiry.contact, keys)
    yield from BankStep.objects.filter(row__sale__instrument__in=keys).values_list("note", flat=True)
    offers = Offer.objects.filter(instrument__in=keys)
    for row in offers.values_list("note", "end__reason"):
        yield from filter(None, row)
    yield from offers.exclude(inquiry__contact=inquiry.contact_id).values_list("trade_in", flat=True)
    yield from IssuedPaper.objects.filter(instrument__in=keys).values_list("reason", flat=True)
    yield from inquiry.contact.owned.values_list("note", flat=True)
    yield from Inquiry.objects.filter(instrument__in=keys).values_list("follow_up_note", flat=True)
    theirs = Message.objects.filter(inquiry__instrument__in=keys, ours=False)
    yield from theirs.exclude(inquiry__contact=inquiry.contact_id).values_list("body", flat=True)


def _words(value: Any) -> Iterator[str]:
    """Every word of a listing, however deep it lies; of its pictures only what is said of them."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Picture):
        yield from (value.view, value.caption)
    elif isinstance(value, int) and not isinstance(value, bool):
        yield str(value)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _words(one)
    elif is_dataclass(value):
        skipped = NOT_WORDS if isinstance(value, Listing) else {"address", "pictures", "picture", "lead"}
        for field in fields(value):
            if field.name not in skipped:
                yield from _words(getattr(value, field.name))


def shop_and_pieces(text: str, inquiry: Inquiry, *, at: datetime) -> tuple[Private, Known]:
    """Both sides for one letter."""
    about = spoken_of(text, inquiry, at=at)
    return private_of(inquiry, about), known_to(inquiry, about, the_shop(), at=at)
