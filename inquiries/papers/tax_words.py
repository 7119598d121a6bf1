"""What a paper says of tax: the words that a law asks for, and the lines that contain it."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inquiries.borders.conditions import Span, aged
from inquiries.people.places import country_name
from inquiries.tax.rules import Asked, Reckoned, Scheme
from shop.money import Money

Row = list[str]

# The words that an invoice under the margin scheme bears in place of a line of VAT. Source: Directive 2006/112/EC,
# art. 226(14); GOV.UK, VAT margin schemes, has the same.
SECOND_HAND = "Margin scheme – second-hand goods"
ANTIQUES = "Margin scheme – collectors’ items and antiques"


@dataclass(frozen=True)
class TaxSaid:
    """Rows of VAT that the price contains, and what is to be noted; `refused` says why no paper can be made."""

    vat: list[Row] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    refused: str = ""


def scheme_words(made: Span, on: date) -> str:
    """Which of the scheme's words a piece bears: an antique is over 100 years old, by the whole span of its make.

    Source: Directive 2006/112/EC, Annex IX, part C.
    """
    return ANTIQUES if aged(made, 100, on, over=True) else SECOND_HAND


def exported(asked: Asked, reckoned: Reckoned) -> str:
    """The country that the piece goes to when that is free of the tax; nothing otherwise."""
    told = reckoned.place is not None and asked.origin is not None and not reckoned.rates
    free = reckoned.tax is not None and not reckoned.tax and not asked.handed_over
    if told and free and reckoned.place and asked.origin and reckoned.place.country != asked.origin.country:
        return country_name(reckoned.place.country)
    return ""


def vat_rows(reckoned: Reckoned, currency: str) -> list[Row]:
    """What, rate, net, VAT, gross: each line where each is rounded, the whole otherwise.

    Source: Directive 2006/112/EC, art. 226(8) to (10): the taxable amount per rate, the rate, the VAT.
    """
    rate = f"{reckoned.percent.normalize():f} %"
    if all(line.tax is not None for line in reckoned.lines):
        return [
            _vat_row(line.name, rate, line.base, line.tax or Decimal(0), currency) for line in reckoned.lines
        ]
    base = sum((line.base for line in reckoned.lines), Decimal(0))
    name = " and ".join(line.name.lower() for line in reckoned.lines).capitalize()
    return [_vat_row(name, rate, base, reckoned.tax or Decimal(0), currency)]


def _vat_row(name: str, rate: str, gross: Decimal, vat: Decimal, currency: str) -> Row:
    return [name, rate, *(str(Money(amount, currency)) for amount in (gross - vat, vat, gross))]


def said_of_tax(asked: Asked, reckoned: Reckoned, *, made: Span, booked: Decimal, currency: str) -> TaxSaid:
    """What an invoice says of tax; `booked` is the tax in the ledger."""
    if asked.on_the_margin(reckoned.scheme):
        return _on_the_margin(asked, reckoned, made=made)
    if reckoned.scheme == Scheme.NONE:
        return TaxSaid()
    if reckoned.tax is None:
        return TaxSaid(refused=f"The tax of this sale cannot be told. {reckoned.why[-1]}")
    certificate = asked.certificate
    if reckoned.scheme == Scheme.SALES_TAX and certificate and certificate.good_on(asked.day):
        return TaxSaid(
            notes=[f"Sold for resale under certificate {certificate.number}; no sales tax is charged."]
        )
    if country := exported(asked, reckoned):
        tax = "sales tax" if reckoned.scheme == Scheme.SALES_TAX else "VAT"
        return TaxSaid(notes=[_free(tax, country)])
    if reckoned.scheme in {Scheme.NORMAL, Scheme.MARGIN}:
        return TaxSaid(vat=vat_rows(reckoned, currency))
    if reckoned.tax != booked:
        due, stands = Money(reckoned.tax, currency), Money(booked, currency)
        return TaxSaid(
            refused=f"By the shop’s rates the tax is {due}, and {stands} stands in the ledger. "
            "Book the tax first, so that the invoice and the ledger agree."
        )
    return TaxSaid()


def _on_the_margin(asked: Asked, reckoned: Reckoned, *, made: Span) -> TaxSaid:
    """The scheme's words, and never its VAT. Source: Directive 2006/112/EC, art. 325: it is not entered separately."""
    notes = [f"{scheme_words(made, asked.day)}."]
    if country := exported(asked, reckoned):
        notes.append(_free("VAT", country))
    return TaxSaid(notes=notes)


def _free(tax: str, country: str) -> str:
    """Source: Directive 2006/112/EC, art. 226(11): an exemption is named on the invoice."""
    if tax == "VAT":
        return f"Exempt from VAT: an export to {country}."
    return f"An export to {country}; no sales tax is charged."
