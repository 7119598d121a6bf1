"""An address as written, read line by line. All people and places are invented; the manner of each country is as
`tests/outside/test_addresses_published.py` has it, and what is a caution is common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.shipping.address_countries import COUNTRIES
from inquiries.shipping.address_rules import check

WHOLE = [
    (
        "US",
        "Ada Finch\n27 Orchard Hill Road\nTamsen Corners, NY 12345",
        "town “Tamsen Corners”; state New York",
    ),
    (
        "US",
        "Ada Finch\n27 Orchard Hill Road\nTamsen Corners, New York 12345-1234\nUSA",
        "postal code 12345-1234",
    ),
    ("US", "Ada Finch\n12345 Long Street\nAlbury\nWest Virginia 25301", "town “Albury”; state West Virginia"),
    ("US", "Ada Finch\n3 New York Street\nAlbury, Washington 98001", "state Washington"),
    ("CA", "Ada Finch\n1 Dock Street\nKingsferry ON H3Z2Y7", "province Ontario; postal code H3Z2Y7"),
    ("CA", "Ada Finch\n1 Dock Street\nMontréal (Québec) H3Z 2Y7", "town “Montréal”; province Quebec"),
    (
        "CA",
        "Ada Finch\n1 Dock Street\nMontre\u0301al, Que\u0301bec  H3Z 2Y7",
        "town “Montréal”; province Quebec",
    ),
    ("CA", "Ada Finch\n1 Dock Street\nKingsferry ON\nH3Z 2Y7\nCANADA", "town “Kingsferry”; province Ontario"),
    ("CA", "Ada Finch\n1 Dock Street\nKingsferry\nOntario\nH3Z 2Y7", "town “Kingsferry”; province Ontario"),
    ("CA", "Ada Finch\n1 rue du Quai\nVal-d’Or (qc)\nH3Z 2Y7", "town “Val-d’Or”; province Quebec"),
    ("US", "Ada Finch\n12 Alder Row\nfernley, ma 02140", "town “fernley”; state Massachusetts"),
    ("US", "Ada Finch\n12 Alder Row\nFernley, Ma\n02140", "town “Fernley”; state Massachusetts"),
    ("US", "Ada Finch\n12 Alder Row\nFernley, N.Y. 12345", "town “Fernley”; state New York"),
    ("AU", "Ada Finch\nUnit 4, 3 Bay Road\nManby NSW 2060", "state New South Wales"),
    ("GB", "Ada Finch\n2 Long Barn\nNether Cawston\nQX4 7ZZ", "town “Nether Cawston”; postal code QX4 7ZZ"),
    ("GB", "Ada Finch\n2 Long Barn\nNether Cawston QX4 7ZZ\nENGLAND", "town “Nether Cawston”"),
    ("IE", "Ada Finch\n2 Bog Road\nBallyquill\nA65 F4E2", "postal code A65 F4E2"),
    ("DE", "Ada Finch\nAm Deich 3\n01234 Kleinmoor\nDeutschland", "street “Am Deich 3”; town “Kleinmoor”"),
    ("CH", "Ada Finch\nSeeweg 3\nCH-8999 Oberau", "postal code CH-8999"),
    ("NL", "Ada Finch\nKerkstraat 4\n1234 AB Dorp", "town “Dorp”; postal code 1234 AB"),
    ("JP", "Ada Finch\n2-1 Midori, Kita-ku\nTokyo 154-0023\nJAPAN", "town “Tokyo”; postal code 154-0023"),
    ("JP", "〒154-0023\nTokyo\nMidori 2-1, Kita-ku\nAda Finch", "town “Tokyo”; postal code 154-0023"),
    (
        "JP",
        "Ada Finch\n154-0023\nTokyo, Kita-ku, Midori 2-1\nJAPAN",
        "street “Kita-ku, Midori 2-1”; town “Tokyo”",
    ),
    ("JP", "Ada Finch\n154-0023 Tokyo\nKita-ku, Midori 2-1", "street “Kita-ku, Midori 2-1”; town “Tokyo”"),
    (
        "JP",
        "〒１５４－００２３\n東京都北区緑２－１\nAda Finch",
        "street “北区緑2-1”; town “東京都”; postal code 154-0023",
    ),
    ("BR", "Ada Finch\nRua das Violas 7\nPorto Manso-BA\n40301-110", "postal code 40301-110"),
]


@pytest.mark.parametrize(("country", "text", "read"), WHOLE)
def test_a_whole_address_is_read_back(country: str, text: str, read: str) -> None:
    checked = check(text, country)
    assert checked.is_whole, checked
    assert read in checked.read
    assert "for Ada Finch" in checked.read


@pytest.mark.parametrize(
    ("country", "text", "said"),
    [
        ("US", "", "No address is written."),
        ("US", "Ada Finch\n27 Orchard Hill Road\nTamsen Corners, NY", "No postal code of the United States"),
        (
            "US",
            "Ada Finch\n27 Orchard Hill Road\nTamsen Corners, NY 1234",
            "No postal code of the United States",
        ),
        ("US", "Ada Finch\n27 Orchard Hill Road\nTamsen Corners 12345", "No state is named"),
        ("US", "Ada Finch\nTamsen Corners, NY 12345", "No street stands between"),
        ("US", "Ada Finch\n12345 Orchard Hill Road", "No town is written."),
        ("CA", "Ada Finch\n1 Dock Street\nKingsferry ON H3Z 2Y", "No postal code of Canada"),
        ("CA", "Ada Finch\n1 Dock Street\nKingsferry H3Z 2Y7", "No province is named"),
        ("US", "George Washington\n12345", "No state is named"),
        ("US", "Ada Finch\n3 Georgia\nTamsen Corners 12345", "No state is named"),
        ("US", "Ada Finch\nThe Mill\n27 Orchard Hill Road\n12345", "No town is written."),
        ("JP", "Ada Finch\nTokyo 154-0023", "No street stands between"),
        ("JP", "〒154-0023\n東京都\nAda Finch", "No street stands between"),
        ("JP", "154-0023\nAda Finch", "No town is written."),
        ("GB", "Ada Finch\nThe Long Barn\nQX4 7ZZ", "No town is written."),
        ("DE", "Ada Finch\nAm Deich 3\n1234 Kleinmoor", "No postal code of Germany"),
        ("PT", "Ada Finch\nRua Alta 3\n2725 Vila", "No postal code of Portugal"),
    ],
)
def test_what_is_missing_is_said(country: str, text: str, said: str) -> None:
    assert any(said in sentence for sentence in check(text, country).missing)


@pytest.mark.parametrize(
    ("country", "text", "said"),
    [
        ("", "Ada Finch\n1 Dock Street", "The country is not known"),
        ("ZQ", "Ada Finch\n1 Dock Street", "How ZQ writes addresses is not among the rules here"),
        ("US", "Ada Finch\nP.O. Box 12\nAlbury, NY 12345", "post office box"),
        ("DE", "Ada Finch\nPostfach 12\n01234 Kleinmoor\nGERMANY", "post office box"),
        ("GB", "Ada Finch\nThe Long Barn\nNether Cawston\nQX4 7ZZ", "The street has no number."),
        ("SE", "Ada Finch\nStrandvägen 8\n123 45 Gråhamn", "in capitals: SWEDEN."),
    ],
)
def test_what_asks_for_a_second_look_is_said(country: str, text: str, said: str) -> None:
    assert any(said in sentence for sentence in check(text, country, home="US").cautions)


def test_the_country_stands_last_only_abroad() -> None:
    at_home = "Ada Finch\n27 Orchard Hill Road\nTamsen Corners, NY 12345"
    assert not check(at_home, "US", home="US").cautions
    assert check(at_home, "US", home="GB").cautions


@given(st.text(max_size=120), st.sampled_from([*COUNTRIES, "", "ZQ"]))
def test_any_text_gets_an_answer(text: str, country: str) -> None:
    checked = check(text, country, home="US")
    assert checked.read or checked.missing or checked.cautions
