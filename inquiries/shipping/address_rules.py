"""Whether an address as written has what its country asks for, from its lines alone. It never stops a parcel.

An address is the lines of an envelope: first who it is for, then street and number, then the town with its postal code
in the manner of the country, and for abroad the country last, in capitals (the Universal Postal Union's addressing
guidance, from memory). What each country asks for stands in `address_countries`, with its source. That carriers do not
deliver to a post office box, and that nobody can sign there: common practice, no source.
"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from inquiries.shipping.address_countries import COUNTRIES, Country

SIGNS: Final = {"9": "[0-9]", "A": "[A-Z]", "X": "[A-Z0-9]", " ": "[ ]?", "-": "[- ]?"}
LITERAL: Final = ("GIR 0AA", "BFPO ", "LV-")
BOX: Final = re.compile(
    r"\b(?:p\.?\s*o\.?\s*box|post office box|postfach|bo[iî]te postale|postbus|postboks|case postale)\b", re.I
)


@dataclass(frozen=True)
class Checked:
    """What was read in an address, what is missing of it, and what to look at again: each a sentence."""

    read: str
    missing: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    region: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether nothing is missing and nothing asks for a second look."""
        return bool(self.read) and not self.missing and not self.cautions


class Code(NamedTuple):
    """A postal code that was found: the line it stands in, and the rest of that line."""

    line: int
    text: str
    rest: str


def check(text: str, country: str, *, home: str = "") -> Checked:
    """Look at an address to `country` (two letters), sent from `home`."""
    typed = unicodedata.normalize("NFC", text)
    lines = [" ".join(line.split()).strip(",") for line in typed.splitlines() if line.strip()]
    if not lines:
        return Checked("", ("No address is written.",))
    if not country:
        return Checked("", (), ("The country is not known, so the address was not checked.",))
    rule = COUNTRIES.get(country)
    if rule is None:
        known = f"How {country} writes addresses is not among the rules here, so it was not checked."
        return Checked("", (), (known,))
    written = _country_line(lines, rule)
    body = lines[:-1] if written else lines
    checked = _check(body, rule)
    if home and country != home and not written:
        last = f"Write the country in the last line, in capitals: {rule.name.removeprefix('the ').upper()}."
        return Checked(checked.read, checked.missing, (*checked.cautions, last), checked.region)
    return checked


def _check(lines: Sequence[str], rule: Country) -> Checked:
    missing, cautions = [], []
    lines = _forwards(lines, rule) if rule.backwards else lines
    code = find_code(lines, rule)
    region = find_region(lines, code, rule)
    town, town_line = _town(lines, code, region, rule)
    if code is None:
        missing.append(f"No postal code of {rule.name} is written; one looks like {rule.example}.")
    if rule.region and not region:
        short = next(iter(rule.regions))
        missing.append(f"No {rule.region} is named; {rule.name} writes one, such as {short}.")
    if not town:
        missing.append("No town is written.")
    street = [line for line in lines[1:town_line] if re.search(r"[^\W\d_]", line)]
    if not street:
        missing.append("No street stands between the name in the first line and the town.")
    elif not any(re.search(r"\d", line) for line in street):
        cautions.append("The street has no number. Some houses have a name only; ask if you are not sure.")
    if any(BOX.search(line) for line in lines):
        cautions.append("It is a post office box: most carriers do not deliver there, and nobody can sign.")
    return Checked(_read(lines, street, town, region, code, rule), tuple(missing), tuple(cautions), region)


def _read(
    lines: Sequence[str], street: Sequence[str], town: str, region: str, code: Code | None, rule: Country
) -> str:
    parts = [f"for {lines[0]}"]
    parts += [f"street “{', '.join(street)}”"] if street else []
    parts += [f"town “{town}”"] if town else []
    parts += [f"{rule.region} {rule.regions[region]}"] if region else []
    parts += [f"postal code {code.text}"] if code else []
    return f"Read as an address in {rule.name}: {'; '.join(parts)}."


def shape_of(shape: str, prefix: str = "") -> str:
    """The pattern of a postal code; a blank or a hyphen in it may be left out."""
    for literal in LITERAL:
        if shape.startswith(literal):
            rest = "".join(SIGNS[sign] for sign in shape[len(literal) :])
            return re.escape(literal).replace(r"\ ", "[ ]?").replace(r"\-", "[- ]?") + rest
    before = f"(?:{re.escape(prefix)})?" if prefix else ""
    return before + "".join(SIGNS[sign] for sign in shape)


def find_code(lines: Sequence[str], rule: Country) -> Code | None:
    """The postal code in the last line that has one; where a line has several, the last. The first line is the name."""
    shapes = sorted(rule.shapes, key=len, reverse=True)
    anywhere = "|".join(shape_of(shape, rule.prefix) for shape in shapes)
    pattern = re.compile(rf"(?<![\w-])(?:{anywhere})(?![\w-])", re.I)
    for number in range(len(lines) - 1, 0, -1):
        found = list(pattern.finditer(lines[number]))
        # A number at the head of a line with a street in it is the house: only the end, or the whole start, is a code.
        if found and _may_be_code(lines, number, found[-1], rule):
            match = found[-1]
            rest = (lines[number][: match.start()] + lines[number][match.end() :]).strip(" ,")
            return Code(number, match[0].upper(), rest)
    return None


def _may_be_code(lines: Sequence[str], number: int, match: "re.Match[str]", rule: Country) -> bool:
    """Whether figures are a code: in a country that names regions, not those that a line of a street begins with."""
    return not (rule.regions and match.start() == 0 and match.end() < len(lines[number]))


def find_region(lines: Sequence[str], code: Code | None, rule: Country) -> str:
    """The region named with the town, by its letters or by its name, in brackets or not; empty for none.

    Beside the code, or in the line above a code that stands alone, its letters may be small ones.
    """
    if not rule.regions:
        return ""
    if code:
        places = [code.rest or (lines[code.line - 1] if code.line > 1 else "")]
    else:
        places = list(lines[:0:-1])
    for place in places:
        words = re.split(r"[\s,()]+", place.rstrip(" .,)"))
        last = words[-1].replace(".", "")
        last = last.upper() if code else last
        if last in rule.regions:
            return last
        ending = _plain(place).casefold().rstrip(" .)")
        named = [short for short, name in rule.regions.items() if _ends_in(ending, name.casefold())]
        if named:
            return max(named, key=lambda short: len(rule.regions[short]))
    return ""


def _plain(text: str) -> str:
    """The same letters without accents, one for one."""
    return "".join(unicodedata.normalize("NFD", sign)[0] for sign in text)


def _ends_in(place: str, name: str) -> bool:
    return place == name or place.endswith((f" {name}", f",{name}", f"({name}"))


def _town(lines: Sequence[str], code: Code | None, region: str, rule: Country) -> tuple[str, int]:
    """The town, and the number of its line. Without a code it is looked for in the last line."""
    if code is None:
        return _without_region(lines[-1] if len(lines) > 2 else "", region, rule), len(lines) - 1
    if town := _without_region(code.rest, region, rule):
        return town, code.line
    # Two lines above it are the name and the street; a third is the town, and the region may have one of its own.
    for number in range(code.line - 1, 1, -1):
        if town := _without_region(lines[number], region, rule):
            is_town = code.rest or rule.alone or not re.search(r"\d", town)
            return (town, number) if is_town else ("", code.line)
    return "", code.line


def _without_region(place: str, region: str, rule: Country) -> str:
    place = place.strip()
    if region:
        names = "|".join((r"\.?".join(region), re.escape(rule.regions[region])))
        found = re.search(rf"(?:^|[\s,(]+)(?:{names})[.)]*$", _plain(place), flags=re.I)
        place = place[: found.start()] if found else place
    return place.strip(" ,") if re.search(r"[^\W\d_]", place) else ""


def _forwards(lines: Sequence[str], rule: Country) -> Sequence[str]:
    """The lines from the name to the code, where they were written from the code on; others as they are.

    Source: the order for local writing in the metadata that `address_countries` names: code, region, street, name. A
    name may stand first all the same.
    """
    plain = [unicodedata.normalize("NFKC", line).replace("〒", "").strip() for line in lines]
    pattern = re.compile("|".join(f"^{shape_of(shape)}(?![0-9-])" for shape in rule.shapes))
    start = next((number for number, line in enumerate(plain[:2]) if pattern.match(line)), None)
    if start is None or len(plain) < start + 2:
        return lines
    code = pattern.match(plain[start])
    assert code is not None  # noqa: S101 - it was found above
    name = plain[0] if start else plain[-1]
    place = [plain[start][code.end() :].strip(" ,"), *plain[start + 1 : None if start else -1]]
    town, street = _divided([line for line in place if line])
    return [name, *street, f"{town} {code[0]}".strip()]


def _divided(place: Sequence[str]) -> tuple[str, list[str]]:
    """The town, and what comes after it: the next lines, or what follows a comma or the sign of a prefecture."""
    if not place:
        return "", []
    if len(place) > 1:
        return place[0], list(place[1:])
    found = re.match(r"([^,]+),\s*(.+)|(.{2,3}?[都道府県])(.+)", place[0])
    if found is None:
        return place[0], []
    return (found[1] or found[3]), [found[2] or found[4]]


def _country_line(lines: Sequence[str], rule: Country) -> bool:
    last = lines[-1].casefold().strip(" .")
    names = (rule.name, rule.name.removeprefix("the "), *rule.also)
    return len(lines) > 1 and last in {name.casefold().strip(" .") for name in names}
