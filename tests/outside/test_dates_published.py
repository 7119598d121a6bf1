"""The published examples of EDTF against the subset that the shop reads.

Source: Library of Congress, Extended Date/Time Format (EDTF) specification, 4 February 2019, all 64 examples
(data/edtf_spec_examples.csv). What the subset leaves out is named here, row by row, and must be refused.
"""

import csv
from pathlib import Path

import pytest

from catalog.dating.reading import UnreadableDate, parse_edtf_years

DATA = Path(__file__).parent / "data" / "edtf_spec_examples.csv"
# Level 0 and 1 rows that a date of make has no use for: clock times, years beyond four digits, seasons, before year 0.
OUTSIDE_BY_FEATURE = {"datetime", "letter year", "season", "negative year"}
# Level 2 rows that are read all the same, because their parts are those of level 1.
INSIDE_LEVEL_2 = {"2004-06-11%", "2004-06-XX/2004-07-03"}


def published() -> list[dict[str, str]]:
    with DATA.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def is_inside(row: dict[str, str]) -> bool:
    if row["level"] == "2":
        return row["edtf"] in INSIDE_LEVEL_2
    return row["feature"] not in OUTSIDE_BY_FEATURE


INSIDE = [row for row in published() if is_inside(row)]
OUTSIDE = [row for row in published() if not is_inside(row)]


def year_named(day: str) -> int | None:
    return None if day in ("open", "unknown") else int(day[:4])


def test_the_published_list_is_whole() -> None:
    """The specification gives 13, 24 and 27 examples at its three levels."""
    levels = [row["level"] for row in published()]
    assert [levels.count(level) for level in "012"] == [13, 24, 27]
    assert (len(INSIDE), len(OUTSIDE)) == (31, 33)


@pytest.mark.parametrize("row", INSIDE, ids=lambda row: row["edtf"])
def test_an_example_in_the_subset_names_its_published_years(row: dict[str, str]) -> None:
    assert parse_edtf_years(row["edtf"]) == (year_named(row["earliest"]), year_named(row["latest"]))


@pytest.mark.parametrize("row", OUTSIDE, ids=lambda row: row["edtf"])
def test_an_example_outside_the_subset_is_refused_and_never_guessed(row: dict[str, str]) -> None:
    with pytest.raises(UnreadableDate) as refusal:
        parse_edtf_years(row["edtf"])
    assert refusal.value.code == "unreadable"


@pytest.mark.parametrize("end", ["1985/", "1985/.."])
def test_an_end_nobody_knows_gets_no_year(end: str) -> None:
    """The specification: an empty end is unknown and .. is open; neither has a width."""
    assert parse_edtf_years(end) == (1985, None)
