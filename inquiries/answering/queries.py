"""What facts, answers and phrases are drawn from, read off the record and the profile."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from catalog.claims.naming import parts_at
from catalog.claims.queries import names_in
from catalog.claims.tokens import sentences, tokens
from catalog.instruments.availability import availability_of
from catalog.models import Instrument
from catalog.originality.queries import leaf_parts, parts_of
from catalog.public.queries import pages
from catalog.public.shown.listing import Listing, listing
from catalog.public.shown.wording import lowered
from inquiries.answering.answers import Shipping, Standing, View
from inquiries.answering.facts import Terms, Told, in_hours, on_the_whole, unended
from inquiries.answering.models import PictureLink, SavedPhrase
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.prospects import standing_of
from inquiries.sales.rules import place_in_queue, usual_deposit
from inquiries.threads.models import Inquiry
from shop.money import Money, total
from shop.policies.queries import policy_at
from shop.profile.models import ShopProfile
from shop.wording import day_of, in_own, moment_of


def piece_of(inquiry: Inquiry, *, at: datetime) -> Any:
    """The instrument of a thread with all that facts, answers and claims read; None where it is about none."""
    about = Instrument.objects.filter(inquiries=inquiry.pk)
    return pieces(about, at=at).first()


def pieces(instruments: Any, *, at: datetime) -> Any:
    """Instruments with all that this room reads of them, in a fixed number of queries."""
    return pages(instruments, at=at).prefetch_related("claim_answers")


def told_of(instrument: Any, shop: ShopProfile, *, at: datetime) -> Told:
    """An instrument that came through `pieces`, as facts and answers take it; the terms are those in force at `at`."""
    with in_own():
        shown = listing(instrument, waiting=0)
    rows = {part.name: f"part-{part.slug}" for part in leaf_parts(instrument)}
    return Told(shown, parts_of(instrument), terms_of(instrument, shop, at=at), rows)


def terms_of(instrument: Instrument, shop: ShopProfile, *, at: datetime) -> Terms:
    """Price and terms in words, by the house policy in force at `at`."""
    price, deposit = "", ""
    house = policy_at(at)
    if instrument.asking_price is not None and instrument.state != Instrument.State.SOLD:
        price = str(Money(instrument.asking_price, instrument.currency))
        usual = usual_deposit(instrument.asking_price, house.deposit_percent, instrument.currency)
        deposit = str(Money(usual, instrument.currency)) if usual else ""
    return Terms(
        price=price,
        on_request=instrument.price_on_request,
        deposit=deposit,
        deposit_percent=house.deposit_percent,
        approval_hours=house.approval_hours,
        hold_hours=house.hold_hours,
        guarantee=shop.guarantee,
        text=shop.terms,
        carriers=tuple(shop.carrier_names),
    )


def standing_for(inquiry: Inquiry, instrument: Any, *, at: datetime) -> Standing:
    """How the piece stands for the person of a thread."""
    stands = standing_of(instrument, at=at)
    own = stands.of(inquiry.contact_id)
    runs = stands.running
    return Standing(
        word=availability_of(instrument),
        own=own is not None and own == runs,
        until=moment_of(timezone.localtime(runs.until)) if runs and runs.until else "",
        selling=stands.sale is not None,
        waiting=len(stands.queue),
        next_place=stands.place,
        own_place=place_in_queue(stands.queue.index(own) + 1) if own in stands.queue else "",
    )


def shipping_for(inquiry: Inquiry) -> Shipping:
    """What has been agreed on shipping in a sale to this person that is open, and whether an address is known."""
    rows = LedgerRow.objects.filter(
        sale__inquiry=inquiry,
        sale__ended_at__isnull=True,
        kind=LedgerRow.Kind.SHIPPING,
        reversed_by__isnull=True,
    )
    amounts = [Money(row.amount, row.currency) for row in rows]
    agreed = str(total(amounts, amounts[0].currency)) if amounts else ""
    return Shipping(agreed, bool(inquiry.contact.address))


def views_of(instrument: Any, shown: Listing) -> list[View]:
    """The photographs that are ready, in their order."""
    rows = zip(instrument.ready, shown.pictures, strict=True)
    return [
        View(
            row.pk, ": ".join(filter(None, [picture.heading, picture.caption])) or picture.alt, picture.shows
        )
        for row, picture in rows
    ]


def parts_asked_about(instrument: Any, texts: Iterable[str]) -> list[str]:
    """The parts of the sheet that a letter names, in the order of the sheet."""
    names, asked = names_in(instrument), set[str]()
    for text in texts:
        for sentence in sentences(text):
            words = tokens(sentence.text, sentence.start)
            for place in range(len(words)):
                asked |= {slug for _end, slugs in parts_at(words, place, names)[:1] for slug in slugs}
    return [part.slug for part in leaf_parts(instrument) if part.slug in asked]


def phrases() -> QuerySet[SavedPhrase]:
    """Every saved phrase, by its name."""
    return SavedPhrase.objects.select_related("by")


def values_for(
    inquiry: Inquiry, told: Told | None, instrument: Any, shop: ShopProfile, *, at: datetime
) -> dict[str, str]:
    """What stands for each field of a phrase in this thread; empty where the record has nothing."""
    house = policy_at(at)
    values = {
        "name": inquiry.contact.name,
        "date": day_of(timezone.localdate(at)),
        "approval": in_hours(house.approval_hours) if house.approval_hours else "",
        "hold": in_hours(house.hold_hours),
        "shop": shop.name,
        "owner": shop.owner_name,
        "telephone": shop.telephone,
        "piece": inquiry.about,
    }
    if told is None:
        return values
    return values | {
        "title": told.shown.title,
        "stock": str(told.shown.card.stock),
        "kind": lowered(told.shown.kind),
        "made": told.shown.card.made,
        "price": told.terms.price,
        "deposit": told.terms.deposit,
        "condition": lowered(told.shown.grade),
        "originality": lowered(unended(on_the_whole(told))) if told.shown.originality.examined else "",
        "availability": lowered(availability_of(instrument).value),
    }


def links_of(inquiry: Inquiry) -> QuerySet[PictureLink]:
    """The picture links of a thread, the newest first, with how many pictures each shows."""
    return inquiry.picture_links.prefetch_related("photographs")


def amount(value: Decimal, currency: str) -> str:
    """An amount in words."""
    return str(Money(value, currency))
