"""The limits that published laws set for what crosses a border, each tried on the day, the day before and after.

Sources: 16 U.S.C. 1539(h) (“not less than 100 years of age”; “on or after December 28, 1973”); the Harmonized System,
heading 97.06, and its explanatory note (“of an age exceeding one hundred years”; it names musical instruments);
Directive 2006/112/EC, Annex IX, part C (“objects of more than 100 years old”, from memory); CITES annotation #15 as
printed by a timber trader (2 January 2017; finished products “up to 10 kg per shipment”; finished musical instruments
left out) and a dealer’s page of 3 October 2019 (26 November 2019); CITES Appendix I for Dalbergia nigra, 11 June 1992;
the Ivory Act 2018 in the guidance of the Animal and Plant Health Agency (instruments made before 1975 with less than
20 % of ivory; 3 March 1947 and 10 %); a trade association’s page of 24 November 2022 on pernambuco, and notes on three
reports on CoP20. What rests on memory is marked so in the rules themselves.
"""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from inquiries.borders.conditions import Item, Shipment, Span
from inquiries.borders.rules import EU, Verdict, check, crosses_customs
from tests.inquiries.borders.shipped import shipped_rules

ON = date(2026, 6, 10)
NONE, ASK, NEEDED, REFUSED, CLASS = (
    Verdict.NONE,
    Verdict.ASK,
    Verdict.NEEDED,
    Verdict.REFUSED,
    Verdict.CLASS,
)


def day(text: str) -> Span:
    return Span(date.fromisoformat(text), date.fromisoformat(text))


def year(first: int, last: int | None = None) -> Span:
    return Span(date(first, 1, 1), date(last or first, 12, 31))


def said(
    rule: str,
    species: str = "Acer",
    *,
    made: Span = year(1931),  # noqa: B008 - a fixed value
    taken: Span | None = None,
    fitted: Span | None = None,
    sort: str = "plant",
    **journey: Any,
) -> Verdict | None:
    """What one rule comes to on a shipment; None when it has nothing to say."""
    fitted = fitted or made
    item = Item("Part: material", (species,), sort, taken or Span(None, fitted.latest), fitted, "Seen")
    values = {
        "leaving": "US",
        "entering": "GB",
        "purpose": "sale",
        "goods": "fretted",
        "finish": "instrument",
    }
    shipment = Shipment(**{"on": ON, "made": made, "items": (item,), **values, **journey})
    found = [line.verdict for line in check(shipped_rules(), shipment) if line.rule == rule]
    return found[0] if found else None


# Eurostat, Statistics Explained, “Glossary: Country codes”, read in a stored copy on 26 November 2026: its letters, EL.
MEMBERS = "BE BG CZ DK DE EE IE EL ES FR HR IT CY LV LT LU HU MT NL AT PL PT RO SI SK FI SE".split()  # noqa: SIM905


def test_goods_pass_no_customs_between_two_members_of_the_union() -> None:
    members = {"GR" if code == "EL" else code for code in MEMBERS}
    assert members == EU
    assert len(members) == 27
    for one in members:
        assert not crosses_customs(one, "DE")
        assert crosses_customs(one, "GB")
        assert crosses_customs("CH", one)
    assert not crosses_customs("US", "US")


# A piece made on the day, and how the three laws take it on 10 June 2026.
AGES = [
    ("1926-06-09", NEEDED, CLASS, CLASS),
    ("1926-06-10", NEEDED, NONE, NONE),  # exactly 100 years: not less than 100, and not over 100
    ("1926-06-11", NONE, NONE, NONE),
]


@pytest.mark.parametrize(("made", "act", "customs", "vat"), AGES)
def test_exactly_100_years_under_three_laws(made: str, act: Verdict, customs: Verdict, vat: Verdict) -> None:
    assert said("esa-antique", "Loxodonta", sort="animal", made=day(made)) == act
    assert said("hs-9706-90", made=day(made)) == customs
    assert said("eu-vat-antique", entering="DE", made=day(made)) == vat
    assert said("hs-9202-90", made=day(made)) == (CLASS if customs == NONE else NONE)


def test_a_year_that_lies_on_both_sides_of_100_is_asked_about_under_all_three() -> None:
    for span in (year(1926), year(1920, 1930), Span(None, date(1930, 1, 1)), Span()):
        assert said("esa-antique", "Loxodonta", sort="animal", made=span) == ASK
        assert said("esa-listed", "Loxodonta", sort="animal", made=span) == ASK
        assert said("hs-9706-90", made=span) == ASK
        assert said("hs-9202-90", made=span) == ASK
        assert said("eu-vat-antique", entering="DE", made=span) == ASK


@pytest.mark.parametrize(
    ("made", "ninety", "ten"),
    [("1776-06-09", NONE, CLASS), ("1776-06-10", CLASS, NONE), ("1900-01-01", CLASS, NONE)],
)
def test_antiques_of_over_250_years_have_a_code_of_their_own(
    made: str, ninety: Verdict, ten: Verdict
) -> None:
    assert said("hs-9706-90", made=day(made)) == ninety
    assert said("hs-9706-10", made=day(made)) == ten


@pytest.mark.parametrize(
    ("goods", "code"),
    [
        ("fretted", "hs-9202-90"),
        ("bowed", "hs-9202-10"),
        ("electric", "hs-9207-90"),
        ("strings", "hs-9209-30"),
        ("fretted-parts", "hs-9209-92"),
        ("electric-parts", "hs-9209-94"),
    ],
)
def test_each_kind_of_goods_has_one_code(goods: str, code: str) -> None:
    codes = [rule.key for rule in shipped_rules() if rule.key.startswith("hs-")]
    found = [key for key in codes if said(key, goods=goods, made=year(1950)) == CLASS]
    assert found == [code]


@pytest.mark.parametrize(
    ("taken", "certificate", "refused"),
    [
        (day("1992-06-10"), NEEDED, NONE),
        (day("1992-06-11"), NONE, REFUSED),
        (Span(date(1992, 6, 10), date(1992, 6, 11)), ASK, ASK),
        (Span(), ASK, ASK),
    ],
)
def test_brazilian_rosewood_before_and_on_11_june_1992(
    taken: Span, certificate: Verdict, refused: Verdict
) -> None:
    given: dict[str, Any] = {"made": year(1995), "taken": taken}
    assert said("nigra-pre-convention", "Dalbergia nigra", **given) == certificate
    assert said("nigra-permit", "Dalbergia nigra", **given) == refused


def test_brazilian_rosewood_of_an_old_piece_is_older_than_the_piece_but_not_than_a_later_board() -> None:
    assert said("nigra-pre-convention", "Dalbergia nigra", made=year(1931)) == NEEDED
    assert said("nigra-pre-convention", "Dalbergia nigra", made=year(1931), fitted=year(2001)) == ASK
    assert said("nigra-eu-import", "Dalbergia nigra", made=year(1931), entering="DE") == REFUSED
    assert said("nigra-eu-import", "Dalbergia nigra", made=year(1931), entering="DE", purpose="loan") == NONE


def test_10_kg_in_a_shipment_are_covered_and_a_gram_more_is_not() -> None:
    def shipped(kilograms: str | None, finish: str = "product") -> Verdict | None:
        weighed = None if kilograms is None else Decimal(kilograms)
        return said("dalbergia-15", "Dalbergia latifolia", finish=finish, kilograms=weighed)

    assert shipped("9.999") == NONE
    assert shipped("10") == NONE
    assert shipped("10.001") == NEEDED
    assert shipped(None) == ASK, "nobody has weighed it"
    assert shipped("10.001", finish="instrument") == NONE, "a finished instrument of any weight"
    assert shipped("1", finish="raw") == NEEDED, "a blank is no finished product"
    assert shipped("1", finish="") == ASK


@pytest.mark.parametrize(
    ("on", "first", "now"),
    [
        ("2017-01-01", None, None),
        ("2017-01-02", NEEDED, None),
        ("2019-11-25", NEEDED, None),
        ("2019-11-26", None, NONE),
        ("2026-06-10", None, NONE),
    ],
)
def test_rosewood_from_2_january_2017_and_from_26_november_2019(
    on: str, first: Verdict | None, now: Verdict | None
) -> None:
    when = date.fromisoformat(on)
    assert said("dalbergia-2017", "Dalbergia latifolia", on=when) == first
    assert said("dalbergia-15", "Dalbergia latifolia", on=when) == now


def test_the_union_followed_on_14_december_2019() -> None:
    for on, verdict in ((date(2019, 12, 13), NEEDED), (date(2019, 12, 14), None)):
        assert said("dalbergia-eu-2019", "Dalbergia latifolia", on=on, entering="DE") == verdict


@pytest.mark.parametrize(
    ("added", "antique", "refused"),
    [
        (day("1973-12-27"), NEEDED, NONE),
        (day("1973-12-28"), NONE, REFUSED),
        (year(1973), ASK, ASK),
    ],
)
def test_nothing_listed_may_be_added_on_or_after_28_december_1973(
    added: Span, antique: Verdict, refused: Verdict
) -> None:
    shell: dict[str, Any] = {"made": year(1900), "fitted": added, "sort": "animal"}
    assert said("esa-antique", "Eretmochelys imbricata", **shell) == antique
    assert said("esa-listed", "Eretmochelys imbricata", **shell) == refused


@pytest.mark.parametrize(
    ("on", "purpose", "rule", "verdict"),
    [
        ("2020-01-01", "sale", "pernambuco-2007", NONE),
        ("2023-02-22", "sale", "pernambuco-2007", NONE),
        ("2023-02-23", "sale", "pernambuco-2007", None),
        ("2023-02-23", "sale", "pernambuco-2023", NONE),
        ("2026-03-04", "own-use", "pernambuco-march-2026", ASK),
        ("2026-03-05", "sale", "pernambuco-2026", NEEDED),
        ("2026-03-05", "own-use", "pernambuco-2026", NONE),
    ],
)
def test_a_finished_bow_of_pernambuco(on: str, purpose: str, rule: str, verdict: Verdict | None) -> None:
    journey: dict[str, Any] = {"on": date.fromisoformat(on), "purpose": purpose}
    assert said(rule, "Paubrasilia echinata", **journey) == verdict


def test_a_finished_bow_that_leaves_brazil_needs_a_permit_since_2023() -> None:
    assert said("pernambuco-2023-brazil", "Paubrasilia echinata", on=date(2024, 1, 1), leaving="BR") == NEEDED


@pytest.mark.parametrize(
    ("made", "percent", "registered", "refused"),
    [
        (day("1974-12-31"), "19.99", NEEDED, NONE),
        (day("1975-01-01"), "19.99", NONE, REFUSED),
        (day("1974-12-31"), "20", NONE, REFUSED),
        (year(1970, 1980), "5", ASK, ASK),
        (day("1947-03-02"), None, ASK, ASK),
    ],
)
def test_ivory_in_an_instrument_under_the_act_of_2018(
    made: Span, percent: str | None, registered: Verdict, refused: Verdict
) -> None:
    given: dict[str, Any] = {
        "made": made,
        "sort": "animal",
        "percent": None if percent is None else Decimal(percent),
    }
    assert said("gb-ivory-registration", "Loxodonta", **given) == registered
    assert said("gb-ivory", "Loxodonta", **given) == refused
    assert said("gb-ivory-inside", "Loxodonta", leaving="GB", **given) == refused


def test_ivory_is_not_brought_into_the_united_states_for_sale_however_old() -> None:
    ivory: dict[str, Any] = {"made": year(1850), "sort": "animal", "leaving": "GB", "entering": "US"}
    assert said("ivory-us-import", "Loxodonta", **ivory) == REFUSED


def test_tortoiseshell_of_an_old_piece_needs_two_papers() -> None:
    shell: dict[str, Any] = {"made": year(1900), "sort": "animal"}
    assert said("hawksbill-pre", "Eretmochelys imbricata", **shell) == NEEDED
    assert said("esa-antique", "Eretmochelys imbricata", **shell) == NEEDED


def test_mother_of_pearl_is_declared_in_the_united_states_when_it_is_sold() -> None:
    pearl: dict[str, Any] = {"made": year(1900), "sort": "animal"}
    assert said("us-wildlife", "Pinctada", **pearl) == NEEDED
    assert said("us-wildlife", "Pinctada", purpose="own-use", **pearl) == NONE
    assert said("us-wildlife", "Pinctada", leaving="GB", entering="DE", **pearl) is None
