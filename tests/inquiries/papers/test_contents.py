"""What stands on each paper, read off the PDF as a stranger would."""

import os
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog.models import Acquisition, Included
from inquiries.credit.actions import Traded, take_in_trade
from inquiries.models import Inquiry, IssuedPaper, Sale, TaxPolicy, TaxRate
from inquiries.papers.filing import bytes_of
from inquiries.papers.issuing import issue_paper
from inquiries.sales import actions
from inquiries.sales.hold_actions import release_hold
from inquiries.shipping.models import Shipment
from inquiries.tax.booking import book_tax
from shop.models import ShopProfile, User
from shop.refusal import Refused
from tests.factories import NOON, InquiryFactory
from tests.inquiries.papers.conftest import DAY, announced, looked_at, more_money, paid, parcelled, planned
from tests.inquiries.steps import back, delivered, entry, fresh, held, opened, received
from tests.support.papers import Paper

QUOTED: dict[str, Any] = {
    "price": Decimal("12000.00"),
    "shipping": Decimal("150.00"),
    "until": (NOON + 14 * DAY).date(),
    "word": "With the case it came in.",
}
ABROAD: dict[str, Any] = {"reason": "Sale", "origin": "United States", "code": "9202.90"}


def made(kind: str, about: Sale | Inquiry, **given: Any) -> tuple[IssuedPaper, Paper]:
    """The paper issued, and read."""
    paper = issue_paper(kind, about, entry=entry(), by=None, at=NOON, given=given)
    data = bytes_of(paper, at=NOON)
    if folder := os.environ.get("PAPERS_TO_LOOK_AT"):
        (Path(folder) / f"{paper}.pdf").write_bytes(data)
    return paper, Paper(data)


def says(read: Paper, *expected: str) -> None:
    """Every expected text stands on the paper."""
    for words in expected:
        assert words in read.text, f"“{words}” is not in: {read.text}"


def taxed(scheme: str, percent: str = "6.25", **fields: Any) -> None:
    """A policy and one rate, from long ago."""
    TaxPolicy.objects.create(starts=date(2020, 1, 1), scheme=scheme, by=None, at=NOON, **fields)
    TaxRate.objects.create(
        jurisdiction="The state",
        country=fields.get("country", "US"),
        percent=Decimal(percent),
        starts=date(2020, 1, 1),
        source="The authority’s page",
        by=None,
        at=NOON,
    )


def abroad(sale: Sale, country: str = "DE") -> Sale:
    """The buyer lives in another country."""
    type(sale.contact).objects.filter(pk=sale.contact_id).update(
        country=country, address="Lindenweg 3\n37073 Göttingen"
    )
    return fresh(sale)


def test_a_quotation_names_price_shipping_day_and_what_is_original(sale: Sale) -> None:
    paper, read = made("quotation", sale.inquiry, **QUOTED)
    assert paper.number == "Q2026-0001"
    says(
        read,
        "Quoted to Cole Withers",
        "12 Alder Row",
        "Serial number 4417-12, on the rim",
        "Patent number 1,234, on the heel plate (faint)",
        "$12,000",
        "$150",
        "To be paid $12,150",
        "until the end of 24 June 2026",
        "With the case it came in.",
        "Original hard case",
        "2 of",
        "later replacement",
        "We stand behind every word of the record.",
        "It does not cover:",
    )
    assert paper.content["amounts"] == {
        "price": "12000.00",
        "shipping": "150.00",
        "tax": "0",
        "total": "12150.00",
    }


@pytest.mark.parametrize(
    ("scheme", "expected"),
    [
        ("sales-tax", "Sales tax 6.25 %, MA 02140 US: The state $750"),
        ("vat-normal", "VAT in it, 6.25 % $705.88"),
        ("vat-margin", "Margin scheme – second-hand goods: no VAT is shown."),
    ],
)
def test_a_quotation_reckons_the_tax_of_its_day(scheme: str, expected: str, sale: Sale) -> None:
    taxed(scheme)
    says(made("quotation", sale.inquiry, **QUOTED)[1], expected)


def test_a_quotation_for_yesterday_is_refused(sale: Sale) -> None:
    with pytest.raises(Refused, match="gone by"):
        made("quotation", sale.inquiry, **QUOTED | {"until": (NOON - DAY).date()})


def test_an_invoice_holds_the_rows_that_stand_and_adds_up(sale: Sale) -> None:
    actions.reverse_row(sale.rows.get(kind="shipping"), reason="Collected", by=None, at=NOON)
    _, read = made("invoice", sale)
    says(
        read,
        "No. I2026-0001",
        "Sold to Cole Withers",
        "Charged $12,500",
        "Received $2,500",
        "Balance to be paid $10,000",
        "10 June 2026 Deposit, bank wire $2,500",
    )
    assert "Shipping" not in read.text, "what was undone is left out with what undid it"


def test_an_invoice_of_the_margin_scheme_bears_its_words_and_no_line_of_vat(sale: Sale) -> None:
    """Source: Directive 2006/112/EC, art. 226(14) for the words, art. 325 for no VAT apart."""
    taxed("vat-margin", "20")
    _, read = made("invoice", sale)
    says(read, "Margin scheme – second-hand goods.")
    assert read.text.count("VAT") == 0


@pytest.mark.parametrize(
    ("made_in", "words"),
    [
        ("1926-06-09", "collectors’ items and antiques"),
        ("1926-06-10", "second-hand goods"),
        ("1925~", "second-hand goods"),
        ("1910", "collectors’ items and antiques"),
    ],
)
def test_only_what_is_surely_over_a_hundred_years_old_is_called_an_antique(
    made_in: str, words: str, sale: Sale
) -> None:
    """Source: Directive 2006/112/EC, Annex IX, part C: antiques are over 100 years old. Today is 10 June 2026."""
    taxed("vat-margin", "20")
    type(sale.instrument).objects.filter(pk=sale.instrument_id).update(made=made_in, made_edtf=made_in)
    says(made("invoice", fresh(sale))[1], f"Margin scheme – {words}.")


def test_what_was_bought_with_vat_is_invoiced_with_vat(sale: Sale) -> None:
    """Source: Directive 2006/112/EC, art. 314: the margin scheme is not open to it. 12,500 × 20 ÷ 120, by hand."""
    Acquisition.objects.create(instrument=sale.instrument, seller="x", on=NOON.date(), vat_charged=True)
    taxed("vat-margin", "20")
    _, read = made("invoice", fresh(sale))
    says(read, "Price 20 % $10,416.67 $2,083.33 $12,500")
    assert "Margin scheme" not in read.text
    says(made("quotation", sale.inquiry, **QUOTED)[1], "VAT in it, 20 % $2,000")


def test_an_invoice_with_normal_vat_shows_net_rate_and_vat(sale: Sale) -> None:
    """12,500 with 20 per cent in it: 12,500 × 20 ÷ 120 = 2,083.33, by hand."""
    taxed("vat-normal", "20")
    says(made("invoice", sale)[1], "Price 20 % $10,416.67 $2,083.33 $12,500")


def test_an_invoice_with_vat_on_two_lines_rounds_each_where_the_policy_says_so(sale: Sale) -> None:
    """150 × 20 ÷ 120 = 25.00."""
    taxed("vat-normal", "20", rounding="line", shipping_taxable=True)
    says(made("invoice", sale)[1], "Price 20 % $10,416.67 $2,083.33 $12,500", "Shipping 20 % $125 $25 $150")


@pytest.mark.parametrize(
    ("scheme", "words"),
    [
        ("vat-normal", "Exempt from VAT: an export to Germany."),
        ("vat-margin", "Exempt from VAT: an export to Germany."),
        ("sales-tax", "An export to Germany; no sales tax is charged."),
    ],
)
def test_an_export_is_named_as_exempt(scheme: str, words: str, sale: Sale) -> None:
    """Source: Directive 2006/112/EC, art. 226(11)."""
    taxed(scheme, "20")
    says(made("invoice", abroad(sale))[1], words)


def test_an_invoice_waits_until_the_sales_tax_is_in_the_ledger(sale: Sale) -> None:
    taxed("sales-tax")
    with pytest.raises(Refused, match=r"the tax is \$781.25, and \$0 stands in the ledger"):
        made("invoice", sale)


def test_booked_tax_stands_on_the_invoice_with_rate_and_place(sale: Sale) -> None:
    taxed("sales-tax")
    book_tax(sale, by=None, at=NOON)
    says(made("invoice", fresh(sale))[1], "Tax 6.25 %, MA 02140 US $781.25", "Charged $13,431.25")


def test_a_buyer_who_sells_again_is_named_by_the_certificate(sale: Sale) -> None:
    taxed("sales-tax")
    type(sale.contact).objects.update(resale_certificate="MA-77", resale_until=(NOON + DAY).date())
    says(made("invoice", fresh(sale))[1], "Sold for resale under certificate MA-77; no sales tax is charged.")


def test_an_invoice_needs_a_price(sale: Sale) -> None:
    actions.reverse_row(sale.rows.get(kind="price"), reason="Mistaken", by=None, at=NOON)
    with pytest.raises(Refused, match="nothing to invoice"):
        made("invoice", sale)


def test_a_plan_is_the_rows_that_were_agreed_with_what_is_left(sale: Sale) -> None:
    with pytest.raises(Refused, match="No instalments are agreed"):
        made("plan", sale)
    planned(sale)
    says(
        made("plan", sale)[1],
        "10 July 2026 $5,150 $5,000",
        "9 August 2026 $5,000 $0",
        "The plan in all $10,150",
        "Balance to be paid $10,150",
        "more than 7 days after its day",
    )


def test_a_bill_of_sale_has_numbers_exceptions_guarantee_and_lines_to_sign(sale: Sale) -> None:
    with pytest.raises(Refused, match=r"\$10,150 is still owed"):
        made("bill", sale)
    _, read = made("bill", paid(sale))
    says(
        read,
        "Serial number 4417-12, on the rim",
        "Patent number 1,234, on the heel plate (faint)",
        "sells the instrument named here to Cole Withers for $12,500",
        "later replacement",
        "We stand behind every word of the record.",
        "Original hard case",
        "48 hours from delivery",
        "For Harrow Lane Strings, and the day",
        "Cole Withers, and the day",
    )


def test_a_bill_of_a_piece_without_numbers_and_exceptions_says_so(sale: Sale) -> None:
    sale.instrument.numbers.all().delete()
    sale.instrument.findings.filter(state="later").delete()
    says(
        made("bill", paid(sale))[1],
        "No number was found on it.",
        "None: each part that was examined is as it was made.",
    )


def test_a_packing_list_holds_the_carton_and_no_amount(sale: Sale) -> None:
    with pytest.raises(Refused, match="No parcel is recorded yet"):
        made("packing", sale)
    _, read = made("packing", parcelled(sale))
    says(
        read, "Original hard case 1", "Mule Train", "MT 77", "50", "20", "12", "10 kg", "Sent to Cole Withers"
    )
    assert "$" not in read.text


def test_a_commercial_invoice_has_code_origin_materials_and_value(sale: Sale) -> None:
    with pytest.raises(Refused, match="It stays in United States"):
        made("customs", sale, **ABROAD)
    _, read = made("customs", parcelled(abroad(sale)), **ABROAD)
    material = sale.instrument.materials.get().material
    says(
        read,
        "From United States",
        "To Germany",
        "Why it goes Sale",
        "9202.90",
        "Country of origin United States",
        "In all $12,500",
        "Declared to the carrier $11,000",
        "USD",
        material.name,
        "GERMANY",
    )
    for name in material.can_be:
        assert name in read.text


def test_a_code_that_the_date_leaves_open_must_be_chosen(sale: Sale) -> None:
    """About 1928 may be over 100 years old in 2026, by the widened span, or not."""
    type(sale.instrument).objects.filter(pk=sale.instrument_id).update(made="c. 1928", made_edtf="1928~")
    with pytest.raises(Refused, match=r"may be .*9202\.90.*9706\.90|may be .*9706\.90.*9202\.90"):
        made("customs", abroad(sale), **ABROAD | {"code": ""})
    says(made("customs", abroad(sale), **ABROAD | {"code": "9706.90"})[1], "9706.90")


@pytest.mark.parametrize(
    ("goods", "code"),
    [
        ("fretted", "9202.90"),
        ("electric", "9207.90"),
        ("fretted-parts", "9209.92"),
        ("electric-parts", "9209.94"),
    ],
)
def test_the_code_is_that_of_the_kind_of_goods_and_no_other_can_be_given(
    sale: Sale, goods: str, code: str
) -> None:
    type(sale.instrument).objects.filter(pk=sale.instrument_id).update(made="1954", made_edtf="1954")
    with pytest.raises(Refused, match=rf"8205\.59 is no code .* They give {code}\.$"):
        made("customs", abroad(sale), **ABROAD | {"goods": goods, "code": "8205.59"})
    says(made("customs", abroad(sale), **ABROAD | {"goods": goods, "code": ""})[1], f"Customs code {code}")


def test_no_paper_for_customs_is_made_between_two_countries_of_the_union(sale: Sale) -> None:
    ShopProfile.objects.update(country="DE")
    sale.contact.__class__.objects.update(country="FR")
    with pytest.raises(Refused) as refused:
        made("customs", fresh(sale), **ABROAD)
    assert refused.value.message == (
        "Germany and France are both in the European Union, which has no customs border inside, "
        "so customs asks for no paper."
    )


def test_an_unknown_origin_is_called_not_known(sale: Sale) -> None:
    says(made("customs", abroad(sale), **ABROAD | {"origin": ""})[1], "Country of origin Not known")


def test_a_return_note_compares_line_by_line(sale: Sale) -> None:
    with pytest.raises(Refused, match="No return is announced"):
        made("return", sale)
    looked_at(sale)
    says(
        made("return", fresh(sale))[1],
        "The neck is too slim for me.",
        "Not as it was sent",
        "Rim original Alike",
        "Head not torn Torn at the edge",
    )


def test_no_return_note_before_it_was_looked_at(sale: Sale) -> None:
    announced(sale)
    with pytest.raises(Refused, match="has not been looked at yet"):
        made("return", fresh(sale))


def test_the_statement_is_for_a_piece_on_consignment_alone(sale: Sale) -> None:
    with pytest.raises(Refused, match="not on consignment"):
        made("statement", sale)


def test_every_paper_is_tagged_named_and_dated(sale: Sale) -> None:
    planned(sale)
    papers = [made("plan", sale)]
    looked_at(abroad(sale))
    papers += [made(kind, fresh(sale)) for kind in ("invoice", "bill", "packing", "return")]
    for paper, read in papers:
        assert read.tagged, paper
        assert read.language == "en"
        assert read.title == f"{paper.get_kind_display()} {paper.number}"
        names = {tag.name for tag in read.tags}
        assert {"H1", "P"} <= names
        assert all(tag.scope == "Column" for tag in read.tags if tag.name == "TH")
    customs, read = made("customs", fresh(sale), **ABROAD)
    assert read.tagged
    assert read.title == f"Commercial invoice {customs.number}"


@pytest.mark.parametrize(("country", "width"), [("US", 612), ("GB", 595)])
def test_the_sheet_is_that_of_the_country(country: str, width: int, sale: Sale) -> None:
    ShopProfile.objects.update(country=country)
    _, read = made("invoice", sale)
    assert round(read.reader.pages[0].mediabox.width) == width


def test_hostile_words_are_printed_as_typed(sale: Sale) -> None:
    hostile = '#panic("no") *b* <i>&amp;</i> $x^2$ @ref ` ~ [ ]'
    _, read = made("quotation", sale.inquiry, **QUOTED | {"word": hostile})
    says(read, hostile)


@pytest.mark.parametrize("name", ["Ada\u202e Quill", "Ada\u2066 Quill\u2069"])
def test_marks_that_turn_a_line_round_stand_on_no_paper(name: str, sale: Sale) -> None:
    type(sale.contact).objects.update(name=name)
    paper, read = made("bill", paid(fresh(sale)))
    assert not set("\u202e\u2066\u2069") & set(str(paper.content))
    says(read, "sells the instrument named here to Ada Quill for $12,500, and has received")


def test_a_name_from_right_to_left_leaves_the_sentence_in_its_order(sale: Sale) -> None:
    """By the rules of writing in both directions (UAX #9) the price would stand before the name."""
    _, read = made("quotation", sale.inquiry, **QUOTED | {"word": "For \u05d3\u05d5\u05d3, $12,000 it is."})
    placed: list[tuple[float, str]] = []
    for page in read.reader.pages:
        page.extract_text(
            visitor_text=lambda text, cm, tm, _font, _size: placed.append((cm[4] + tm[4], text))
        )
    name = next(index for index, (_, text) in enumerate(placed) if "\u05d3" in text)
    price = [x for x, text in placed[name : name + 9] if "12,000" in text]
    assert price[0] > placed[name][0], placed[name : name + 9]


def test_a_very_long_word_stays_on_the_sheet(sale: Sale) -> None:
    long = "W" * 150
    first = issue_paper("invoice", sale, entry=entry(), by=None, at=NOON)
    again = issue_paper("invoice", sale, entry=entry(), by=None, at=NOON, cancels=1, reason=long)
    Included.objects.create(instrument=sale.instrument, what=long)
    for paper in (again, made("bill", paid(sale))[0]):
        read = Paper(bytes_of(paper, at=NOON))
        assert long not in read.text, "its line ends within it"
        assert long in read.text.replace(" ", "").replace("\u200b", "")
    assert first.version == 1


def test_customs_ask_for_the_country_that_the_parcel_goes_to(sale: Sale) -> None:
    parcelled(sale, address="Ilse Grünwald\nLindenweg 3\n37073 Göttingen", country="DE")
    _, read = made("customs", fresh(sale), **ABROAD)
    says(read, "Consignee Ilse Grünwald Lindenweg 3", "To Germany", "Buyer Cole Withers")
    assert read.text.count("Ilse Grünwald") == 1
    with pytest.raises(Refused, match="stays in United States"):
        made("customs", parcelled(abroad(opened()), address="1 Alder Row", country="US"), **ABROAD)


@pytest.mark.parametrize(
    ("address", "name", "below"),
    [
        ("Cole Withers\n12 Alder Row", "Cole Withers", "12 Alder Row"),
        ("cole withers\n12 Alder Row", "Cole Withers", "12 Alder Row"),
        ("Harness & Thorn, repairs\n4 Mill Lane", "Harness & Thorn, repairs", "4 Mill Lane"),
        ("12 Alder Row\nFernley", "Cole Withers", "12 Alder Row\nFernley"),
        ("Rose Cottage\nFernley", "Cole Withers", "Rose Cottage\nFernley"),
    ],
)
def test_a_name_stands_once_on_the_list_of_a_parcel(address: str, name: str, below: str, sale: Sale) -> None:
    type(sale.contact).objects.update(address="Rose Cottage\nFernley")
    paper, _ = made("packing", parcelled(fresh(sale), address=address))
    assert paper.content["to"] == {"label": "Sent to", "name": name, "address": below}


def test_a_bill_of_sale_waits_until_the_money_is_final_or_says_that_it_is_not(
    sale: Sale, owner: User
) -> None:
    more_money(sale, "10150.00")
    with pytest.raises(Refused, match=r"\$12,650 of what came in is not final at the bank yet"):
        made("bill", fresh(sale))
    parcel = Shipment(
        carrier="Mule Train", unpictured_reason="None was at hand", uncleared_reason="An old friend of ours"
    )
    actions.ship(fresh(sale), parcel, by=owner, at=NOON)
    _, read = made("bill", fresh(sale))
    says(read, "has received all that was charged; $12,650 of it is not yet final at the bank.")
    assert "old friend" not in read.text


def test_what_is_sold_or_promised_to_somebody_else_is_not_quoted(sale: Sale) -> None:
    made("quotation", sale.inquiry, **QUOTED)
    other = InquiryFactory(instrument=sale.instrument)
    with pytest.raises(Refused, match=rf"It is in sale {sale.number} to somebody else"):
        made("quotation", other, **QUOTED)
    closed_at = NOON + 4 * DAY
    sent = delivered(sale, at=NOON)
    actions.close_sale(sent, by=None, at=closed_at)
    with pytest.raises(Refused, match="It is sold"):
        made("quotation", other, **QUOTED)


def test_what_is_held_is_quoted_to_the_person_of_the_hold_alone(sale: Sale) -> None:
    hold = held()
    other = InquiryFactory(instrument=hold.instrument)
    with pytest.raises(Refused, match="It is on hold for somebody else, until"):
        made("quotation", other, **QUOTED)
    made("quotation", hold.inquiry, **QUOTED)
    release_hold(hold, by=None, at=NOON)
    made("quotation", other, **QUOTED)


def ended(sale: Sale, back_again: str) -> Sale:
    """Sent back and settled, with so much paid back."""
    back(delivered(sale, at=NOON), at=NOON + DAY)
    actions.end_without_sale(
        fresh(sale), reason="He haggles", money=received(back_again), by=None, at=NOON + DAY
    )
    return fresh(sale)


def test_an_invoice_of_a_sale_that_came_to_nothing_is_cancelled_by_one_that_takes_it_back(sale: Sale) -> None:
    first, _ = made("invoice", sale)
    over = ended(sale, "12650.00")
    new = issue_paper(
        "invoice", over, entry=entry(), by=None, at=NOON + DAY, cancels=1, reason="It came back"
    )
    says(
        Paper(bytes_of(new, at=NOON + DAY)),
        "Replaces version 1 of invoice I2026-0001",
        "This sale has ended as “Returned”. What Invoice I2026-0001, of 10 June 2026, charged is taken back",
        "Taken back: Price 11 June 2026 -$12,500",
        "Taken back: Shipping 11 June 2026 -$150",
        "Charged $0",
        "Balance $0",
    )
    assert new.cancels == first


def test_a_sale_that_came_to_nothing_has_no_first_invoice(sale: Sale) -> None:
    with pytest.raises(Refused, match="nothing to invoice"):
        made("invoice", ended(sale, "12650.00"))


def test_the_reason_of_an_end_stands_on_no_paper_for_the_buyer(sale: Sale) -> None:
    made("invoice", sale)
    over = ended(sale, "12000.00")
    new = issue_paper(
        "invoice", over, entry=entry(), by=None, at=NOON + DAY, cancels=1, reason="It came back"
    )
    texts = [Paper(bytes_of(new, at=NOON)).text, made("return", over)[1].text]
    for text in texts:
        assert "Restocking fee $650" in text
        assert "haggles" not in text


def test_a_plan_says_what_came_in_and_is_refused_when_another_sum_is_owed(sale: Sale) -> None:
    planned(sale)
    actions.record_payment(fresh(sale), received("6000.00"), by=None, at=NOON + DAY)
    paper = issue_paper("plan", sale, entry=entry(), by=None, at=NOON + DAY)
    says(
        Paper(bytes_of(paper, at=NOON + DAY)),
        "10 July 2026 $5,150 came in $5,150 $5,000",
        "9 August 2026 $850 came in $5,000 $0",
        "Balance to be paid $4,150",
    )
    actions.reverse_row(sale.rows.get(kind="shipping"), reason="Collected", by=None, at=NOON + 2 * DAY)
    with pytest.raises(
        Refused, match=r"made for \$10,150, and \$10,000 would be owed .* Write a new plan down"
    ):
        issue_paper("plan", sale, entry=entry(), by=None, at=NOON + 2 * DAY, cancels=1, reason="x")


def test_each_piece_taken_in_trade_is_named(sale: Sale) -> None:
    for what, value in (("A parlour guitar, no label", "900"), ("A zither in its case", "100")):
        traded = Traded(sale.instrument.kind, what, Decimal(value), entry())
        take_in_trade(fresh(sale), traded, by=None, at=NOON)
    says(
        made("invoice", fresh(sale))[1],
        "Trade-in: A parlour guitar, no label $900",
        "Trade-in: A zither in its case $100",
    )


def test_days_are_those_of_the_shop(sale: Sale) -> None:
    late = NOON.replace(hour=3)  # still the day before in New York
    paper = issue_paper("invoice", sale, entry=entry(), by=None, at=late + timedelta(0))
    assert paper.content["day"] == [2026, 6, 9]
