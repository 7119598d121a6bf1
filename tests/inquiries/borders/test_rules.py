"""The rules of borders, with what must hold whatever the dates are."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.borders.conditions import (
    HOW_TO_WRITE,
    Item,
    Shipment,
    Span,
    UnreadableCondition,
    aged,
    alternatives,
    years_on,
)
from inquiries.borders.rules import Rule, Verdict, check, concerns, in_force, widened
from tests.inquiries.borders.shipped import shipped_rules

DAYS = st.dates(date(1850, 1, 1), date(2040, 12, 31))
WOODS = [
    "Dalbergia nigra",
    "Dalbergia",
    "Paubrasilia echinata",
    "Loxodonta",
    "Eretmochelys imbricata",
    "Pinctada",
]


def wood(*species: str, span: Span, sort: str = "plant") -> Item:
    return Item("Board", species, sort, taken=Span(None, span.latest), fitted=span, evidence="Seen")


def sent(span: Span, species: str, **more: object) -> Shipment:
    sort = "plant" if species[0] in "DP" and species != "Pinctada" else "animal"
    values = {
        "leaving": "US",
        "entering": "GB",
        "purpose": "sale",
        "goods": "fretted",
        "finish": "instrument",
    }
    on = more.pop("on", date(2026, 6, 10))
    return Shipment(on=on, made=span, items=(wood(species, span=span, sort=sort),), **{**values, **more})  # type: ignore[arg-type]


@given(
    st.lists(DAYS, min_size=4, max_size=4).map(sorted),
    st.sampled_from(WOODS),
    st.sampled_from(["US", "GB", "DE", "BR", "JP"]),
    st.sampled_from(["US", "GB", "FR", "JP"]),
    st.sampled_from(["sale", "loan", "own-use"]),
    st.dates(date(2016, 1, 1), date(2030, 1, 1)),
    st.booleans(),
    st.booleans(),
)
def test_a_wider_span_of_the_make_never_turns_asked_or_needed_into_none_found(
    days: list[date],
    species: str,
    leaving: str,
    entering: str,
    purpose: str,
    on: date,
    open_before: bool,
    open_after: bool,
) -> None:
    first, earliest, latest, last = days
    wide = Span(None if open_before else first, None if open_after else last)
    journey = {"leaving": leaving, "entering": entering, "purpose": purpose, "on": on, "percent": Decimal(5)}
    narrow = {
        (line.rule, line.about): line.verdict
        for line in check(shipped_rules(), sent(Span(earliest, latest), species, **journey))
    }
    wider = {
        (line.rule, line.about): line.verdict
        for line in check(shipped_rules(), sent(wide, species, **journey))
    }
    assert narrow.keys() == wider.keys()
    for key, verdict in narrow.items():
        if verdict != Verdict.NONE:
            assert wider[key] != Verdict.NONE, key
        assert wider[key] in (verdict, Verdict.ASK), "a wider span decides nothing else"


@given(DAYS, DAYS, st.integers(1, 300))
def test_older_than_is_never_true_where_at_least_is_not(made: date, on: date, years: int) -> None:
    span = Span(made, made)
    assert not (aged(span, years, on, over=True) and not aged(span, years, on, over=False))
    assert aged(span, years, on, over=False) is not None, "a day is on one side"


def test_a_leap_day_is_as_old_as_the_day_after_where_there_is_none() -> None:
    assert years_on(date(2000, 2, 29), 100) == date(2100, 3, 1)
    assert years_on(date(1904, 2, 29), 100) == date(2004, 2, 29)


RULE = Rule("rule", "Law", "Permit.", taxa=("Dalbergia",), without=("Dalbergia nigra",))


@pytest.mark.parametrize(
    ("species", "concerned"),
    [
        (("Dalbergia latifolia",), True),
        (("dalbergia latifolia",), True),
        (("Dalbergia nigra",), False),
        (("Dalbergia",), None),
        (("Dalbergia latifolia", "Acer"), None),
        (("Acer", "Picea"), False),
        (("Dalbergiella",), False),
        ((), False),
    ],
)
def test_a_material_is_listed_when_all_that_it_can_be_is(
    species: tuple[str, ...], concerned: bool | None
) -> None:
    """Common practice, no source: a genus alone may be any of its species."""
    assert concerns(RULE, wood(*species, span=Span())) is concerned


def test_what_has_no_species_is_asked_about_and_never_passed_over() -> None:
    shipment = Shipment(
        date(2026, 6, 10), "US", "GB", items=(wood(span=Span()), wood(span=Span(), sort="other"))
    )
    asked = check([RULE], shipment)
    assert [line.verdict for line in asked] == [Verdict.ASK]
    assert check([RULE], Shipment(date(2026, 6, 10), "US", "GB"))[0].verdict == Verdict.ASK, (
        "no material at all"
    )


def test_a_rule_is_in_force_from_its_first_day_until_its_last_that_day_not_among_them() -> None:
    rule = Rule("rule", "Law", "Permit.", since=date(2017, 1, 2), until=date(2019, 11, 26))
    days = [date(2017, 1, 1), date(2017, 1, 2), date(2019, 11, 25), date(2019, 11, 26)]
    assert [in_force(rule, day) for day in days] == [False, True, True, False]


@pytest.mark.parametrize(
    ("way", "countries", "leaving", "entering", "reached"),
    [
        ("crossing", (), "US", "US", False),
        ("crossing", (), "DE", "FR", False),
        ("crossing", (), "DE", "GB", True),
        ("entering", ("EU",), "US", "DE", True),
        ("entering", ("EU",), "DE", "US", False),
        ("leaving", ("US",), "US", "DE", True),
        ("either", ("US",), "DE", "US", True),
        ("inside", ("EU",), "DE", "FR", True),
        ("inside", ("US",), "US", "US", True),
        ("inside", ("US",), "GB", "GB", False),
    ],
)
def test_which_shipments_a_rule_reaches(
    way: str, countries: tuple[str, ...], leaving: str, entering: str, reached: bool
) -> None:
    rule = Rule("rule", "Law", "Permit.", way=way, countries=countries)
    assert bool(check([rule], Shipment(date(2026, 6, 10), leaving, entering))[1:]) is False or reached
    found = [line for line in check([rule], Shipment(date(2026, 6, 10), leaving, entering)) if line.rule]
    assert bool(found) is reached


def test_a_doubtful_date_is_widened_and_a_sure_one_is_not() -> None:
    span = Span(date(1926, 1, 1), date(1926, 12, 31))
    assert widened(span, doubtful=False) == span
    assert widened(span, doubtful=True) == Span(date(1921, 1, 1), date(1931, 12, 31))
    assert widened(Span(), doubtful=True) == Span()


def test_every_way_of_writing_a_condition_that_is_shown_can_be_read() -> None:
    for words in HOW_TO_WRITE:
        assert alternatives(words.partition(" (")[0]), words
    for wrong in ("at least a hundred years old", "made before 1947-13-03", "finished", "up to ten kg"):
        with pytest.raises(UnreadableCondition) as refused:
            alternatives(wrong)
        assert "up to 10 kg" in refused.value.message


def test_no_line_ever_says_that_nothing_is_needed() -> None:
    for rule in shipped_rules():
        for text in (rule.says, rule.otherwise):
            assert "not needed" not in text.lower()
            assert "no permit" not in text.lower()
