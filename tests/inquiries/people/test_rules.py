"""Who may be one person, and how numbers, countries and languages are read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.people.places import UnknownLanguage, countries, envelope, language_names, read_languages
from inquiries.people.rules import Person, Place, bare_address, marks, pairs, postal_code, reasons
from inquiries.people.telephones import e164, international, shown

LANE = "4 Mill Lane\nTamsen Corners, New York 12099"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ruth@Lane.example", "ruth@lane.example"),
        ("ruth+banjos@lane.example", "ruth@lane.example"),
        ("ruth+a@lane.example", "RUTH+b@LANE.example"),
    ],
)
def test_capitals_and_what_stands_after_a_plus_make_no_other_address(one: str, other: str) -> None:
    assert bare_address(one) == bare_address(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (
            "ruth.j@lane.example",
            "ruthj@lane.example",
        ),  # dots are not guessed away: only one provider drops them
        ("ruth-a@lane.example", "ruth@lane.example"),
        ("ruth@lane.example", "ruth@lanes.example"),
        ("+list@lane.example", "+other@lane.example"),  # nothing before the plus: the whole is the name
    ],
)
def test_nothing_else_is_guessed_of_an_address(one: str, other: str) -> None:
    assert bare_address(one) != bare_address(other)


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        ("4 Mill Lane\nTamsen Corners, New York 12099", "12099"),
        ("4 Mill Lane\nTamsen Corners NY 12099-4431", "12099"),
        ("Lindengasse 22\n01234 Altenmoor", "01234"),
        ("1 Row Street\nBexcombe\nQX4 7zz", "QX47ZZ"),
        ("9 Pine Road\nNorth Lake ON  K1A 0B1", "K1A0B1"),
        ("Strandvägen 8\n123 45 Gråhamn", "12345"),
        ("Keizersweg 3\n1017 AB Oudermeer", "1017AB"),
        ("12345 Long Road\nTamsen Corners", ""),  # the number of a house is no postal code
        ("", ""),
    ],
)
def test_the_postal_code_stands_in_the_last_lines(lines: str, code: str) -> None:
    assert postal_code(lines) == code


ONE = Person(1, "Ruth Jarviston", ("ruth@lane.example",), ("+15185550199",), (Place(LANE, "US"),))


@pytest.mark.parametrize(
    ("other", "why"),
    [
        (Person(2, "R. J.", ("RUTH+x@lane.example",)), ["Both write from ruth@lane.example."]),
        (Person(2, "Somebody", (), ("+15185550199",)), ["Both have the number +15185550199."]),
        (
            Person(2, "Jarviston, Rúth", (), (), (Place("The Barn\nTamsen Corners, NY 12099", "US"),)),
            ["Both are called Ruth Jarviston, at the postal code 12099."],
        ),
        (
            Person(
                2, "Ruth Jarvistone", (), (), (Place("4 MILL LANE\nTamsen Corners, New York, 12099", "US"),)
            ),
            ["Ruth Jarviston and Ruth Jarvistone live at the same address."],
        ),
        # Looks alike, and is nothing:
        (Person(2, "Ruth Jarviston"), []),
        (Person(2, "Ruth Jarviston", (), (), (Place("The Barn\n12099 Altenmoor", "DE"),)), []),
        (Person(2, "Ruth Jarviston", (), (), (Place("The Barn\nTamsen Corners, NY 12098", "US"),)), []),
        (Person(2, "Owen Castellan", (), (), (Place(LANE, "US"),)), []),
        (Person(2, "Ruth Jarvistone", (), (), (Place("5 Mill Lane\nTamsen Corners, NY 12098", "US"),)), []),
        (Person(2, "Nobody", ("",), ("",), (Place("", ""),)), []),
    ],
)
def test_two_are_suggested_for_a_reason_and_only_for_one(other: Person, why: list[str]) -> None:
    assert reasons(ONE, other) == why
    assert bool(reasons(other, ONE)) == bool(why), "the same from both sides"
    assert [alike.reasons for alike in pairs([other, ONE])] == ([tuple(why)] if why else [])


people = st.builds(
    Person,
    st.integers(1, 99),
    st.sampled_from(["Ruth Jarviston", "Rúth Jarviston", "Ruth Jarvistone", "Owen Castellan", ""]),
    st.lists(st.sampled_from(["a@b.example", "A+x@b.example", "c@b.example"]), max_size=2).map(tuple),
    st.lists(st.sampled_from(["+15185550199", "+4930231253"]), max_size=1).map(tuple),
    st.lists(
        st.builds(
            Place,
            st.sampled_from([LANE, LANE.upper(), "The Barn\n12099 Altenmoor"]),
            st.sampled_from(["US", "DE"]),
        ),
        max_size=2,
    ).map(tuple),
)


@given(people, people)
def test_whoever_has_a_reason_shares_a_mark_so_that_none_is_overlooked(one: Person, other: Person) -> None:
    if reasons(one, other):
        assert marks(one) & marks(other)
    assert bool(reasons(one, other)) == bool(reasons(other, one))


@pytest.mark.parametrize(
    ("typed", "country", "at_home", "abroad"),
    [
        ("(518) 555-0199", "US", "(518) 555-0199", "+1 518-555-0199"),
        ("518.555.0199", "US", "(518) 555-0199", "+1 518-555-0199"),
        ("+1 518 555 0199", "", "(518) 555-0199", "+1 518-555-0199"),
        ("518 555 0199 ext. 12", "US", "(518) 555-0199 ext. 12", "+1 518-555-0199 ext. 12"),
    ],
)
def test_a_number_is_shown_as_it_is_dialled_where_the_shop_is(
    typed: str, country: str, at_home: str, abroad: str
) -> None:
    assert e164(typed, country) == "+15185550199"
    assert shown(typed, at="US", country=country) == at_home
    assert shown(typed, at="DE", country=country) == international(typed, country) == abroad


def test_a_number_that_cannot_be_read_stays_as_it_was_typed() -> None:
    for typed in ("ask at the mill", "12", "+999 1"):
        assert (e164(typed, "US"), shown(typed, at="US", country="US")) == ("", typed)


def test_a_country_and_a_language_have_names_in_english() -> None:
    assert (countries()["DE"], countries()["US"], countries()["GB"]) == (
        "Germany",
        "United States",
        "United Kingdom",
    )
    assert not {"EU", "UN", "ZZ"} & set(countries())
    assert read_languages("German, en; FRENCH, de") == ["de", "en", "fr"]
    assert language_names("de, en") == ["German", "English"]
    with pytest.raises(UnknownLanguage, match="“Corvanese” is no language we know"):
        read_languages("English, Corvanese")


@pytest.mark.parametrize(
    ("lines", "country", "at", "written"),
    [
        ("Lindengasse 22\n\n01234 Altenmoor ", "DE", "DE", ["Lindengasse 22", "01234 Altenmoor"]),
        ("Lindengasse 22\n01234 Altenmoor", "DE", "US", ["Lindengasse 22", "01234 Altenmoor", "GERMANY"]),
        ("Lindengasse 22\nGermany", "DE", "US", ["Lindengasse 22", "GERMANY"]),
        ("Lindengasse 22", "", "US", ["Lindengasse 22"]),
        ("", "DE", "US", []),
    ],
)
def test_a_letter_from_abroad_names_the_country_last(
    lines: str, country: str, at: str, written: list[str]
) -> None:
    assert envelope(lines, country, at=at) == written
