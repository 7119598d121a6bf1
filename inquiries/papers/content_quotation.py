"""A quotation: price, shipping and tax for this person, until when, and what is original."""

from decimal import Decimal

from inquiries.borders.queries import span_of
from inquiries.papers.content_common import (
    Content,
    Matter,
    Row,
    addressed,
    moment_at,
    money,
    piece,
    price_line,
    spoken_day,
    told_of_originality,
)
from inquiries.papers.tax_words import exported, scheme_words, vat_rows
from inquiries.sales.queries import open_sale_of, running_hold
from inquiries.tax.queries import all_policies, all_rates, bought_with_vat, place_of_shop
from inquiries.tax.rules import (
    Asked,
    Certificate,
    Place,
    Reckoned,
    Scheme,
    on_the_margin,
    place_of,
    policy_on,
    reckon,
)
from shop.policies.queries import policy_on as house_policy_on
from shop.refusal import Refused


def quotation(matter: Matter) -> Content:
    """What stands on it; price, shipping and the last day are given with the press.

    Refused for a piece that is sold, or promised to somebody else.
    """
    _check_free(matter)
    given, currency = matter.given, matter.instrument.currency
    price, shipping, until = given["price"], given["shipping"], given["until"]
    if until < matter.today:
        raise Refused("The last day of the quotation has gone by. Write a day from today on.", code="gone-by")
    lines: list[Row] = [price_line(matter, price, currency)]
    if shipping:
        lines.append(["Shipping", "Packed and insured, as agreed", money(shipping, currency)])
    tax, vat, notes = _tax(matter, price, shipping)
    if tax:
        lines.append(["Sales tax", notes.pop(0), money(tax, currency)])
    total = price + shipping + tax
    return {
        "to": addressed("Quoted to", matter),
        "piece": piece("For", matter),
        "lines": lines,
        "sums": [*vat, ["To be paid", money(total, currency)]],
        "terms": [
            f"It stands until the end of {spoken_day(until)}, unless it is sold before.",
            *_house(matter),
            *notes,
        ],
        "word": given.get("word", ""),
        "originality": told_of_originality(matter),
        "included": list(matter.listing.included),
        "until": until.isoformat(),
        "amounts": {"price": str(price), "shipping": str(shipping), "tax": str(tax), "total": str(total)},
        "currency": currency,
    }


def _check_free(matter: Matter) -> None:
    """Raise Refused unless it is free, or in a sale to this person or held for them."""
    piece = matter.instrument
    if piece.state == piece.State.SOLD:
        raise Refused("It is sold, so it can no longer be quoted.", code="sold")
    sale = open_sale_of(piece)
    if sale is not None and sale.contact_id != matter.contact.pk:
        raise Refused(
            f"It is in sale {sale.number} to somebody else. It can be quoted if that comes to nothing.",
            code="in-a-sale",
        )
    hold = running_hold(piece, at=matter.at)
    if hold is not None and hold.contact_id != matter.contact.pk:
        until = f", until {moment_at(hold.until, matter.shop)}" if hold.until else ""
        raise Refused(
            f"It is on hold for somebody else{until}. Give this person a place in the queue, and quote it when it is "
            "their turn.",
            code="on-hold",
        )


def _house(matter: Matter) -> list[str]:
    """The house policy of the day, as far as it touches a quotation."""
    policy = house_policy_on(matter.today)
    deposit = f"{policy.deposit_percent.normalize():f} per cent of the price"
    return [
        f"A deposit of {deposit} holds it; the balance is paid before it leaves.",
        f"You may look at it for {policy.approval_hours} hours from delivery and send it back.",
    ]


def _tax(matter: Matter, price: Decimal, shipping: Decimal) -> tuple[Decimal, list[Row], list[str]]:
    """The tax on top, the sums that the price contains, and what is to be noted."""
    policy = policy_on(all_policies(), matter.today)
    if policy is None or policy.scheme == Scheme.NONE:
        return Decimal(0), [], []
    asked = _asked(matter, price, shipping, policy.scheme)
    found, currency = reckon(asked, policy, all_rates()), matter.instrument.currency
    if country := exported(asked, found):
        vat = policy.scheme != Scheme.SALES_TAX
        return (
            Decimal(0),
            [],
            [f"Going to {country}, it is free of {'VAT' if vat else 'sales tax'} as an export."],
        )
    if asked.on_the_margin(found.scheme):
        words = scheme_words(span_of(matter.instrument.made_edtf), matter.today)
        return Decimal(0), [], [f"{words}: no VAT is shown."]
    if found.tax is None:
        return Decimal(0), [], [f"Tax is not in it: {found.why[-1]}"]
    if found.contained:
        return Decimal(0), [[f"VAT in it, {row[1]}", row[3]] for row in vat_rows(found, currency)], []
    return (found.tax, [], [_rates(found)]) if found.tax else (Decimal(0), [], _untaxed(asked, found))


def _asked(matter: Matter, price: Decimal, shipping: Decimal, scheme: Scheme) -> Asked:
    buyer, shop = matter.contact, matter.shop
    country, with_vat = buyer.country or shop.country, bought_with_vat(matter.instrument)
    acquisition = getattr(matter.instrument, "acquisition", None)
    return Asked(
        day=matter.today,
        currency=matter.instrument.currency,
        price=price,
        shipping=shipping,
        origin=place_of_shop(shop),
        destination=Place(country)
        if on_the_margin(scheme, vat_charged=with_vat)
        else place_of(buyer.address, country),
        certificate=Certificate(buyer.resale_certificate, buyer.resale_state, buyer.resale_until),
        consigned=acquisition is not None and acquisition.how == acquisition.How.CONSIGNED,
        vat_charged=with_vat,
    )


def _rates(found: Reckoned) -> str:
    return f"{found.percent.normalize():f} %, {found.place}: {', '.join(rate.jurisdiction for rate in found.rates)}"


def _untaxed(asked: Asked, found: Reckoned) -> list[str]:
    certificate = asked.certificate
    if certificate and certificate.good_on(asked.day):
        return [f"For resale under certificate {certificate.number}: no sales tax."]
    return ["No sales tax by the shop’s rates."]
