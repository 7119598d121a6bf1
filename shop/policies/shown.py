"""House policies side by side: a line for each term, a column for each policy, the newest first."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import models

from shop.money import Money
from shop.policies.forms import PARTS
from shop.policies.models import HousePolicy

NONE_KNOWN = "None is known"


@dataclass(frozen=True)
class Cell:
    """What one policy says of a term, and whether the one before it said something else."""

    text: str
    changed: bool


@dataclass(frozen=True)
class Line:
    """One term."""

    name: str
    cells: list[Cell]


def side_by_side(policies: Sequence[HousePolicy], currency: str) -> list[tuple[str, list[Line]]]:
    """The terms under the headings of their parts; `policies` are in order, the newest first."""
    return [(heading, [_line(name, policies, currency) for name in names]) for heading, names in PARTS]


def _line(name: str, policies: Sequence[HousePolicy], currency: str) -> Line:
    field = HousePolicy._meta.get_field(name)
    texts = [said(row, name, currency) for row in policies]
    cells = [
        Cell(text, changed=place + 1 < len(texts) and text != texts[place + 1])
        for place, text in enumerate(texts)
    ]
    return Line(_heading(field), cells)


def _heading(field: Any) -> str:
    """The name of a term without its unit, which stands with each figure."""
    name = str(field.verbose_name).partition(", ")[0] if _unit(field) else str(field.verbose_name)
    return name[:1].upper() + name[1:]


def said(policy: HousePolicy, name: str, currency: str) -> str:
    """One term of a policy in words: “48 hours”, “20 %”, “Yes”."""
    value, field = getattr(policy, name), HousePolicy._meta.get_field(name)
    if isinstance(field, models.BooleanField):
        return "Yes" if value else "No"
    if value is None:
        return NONE_KNOWN
    if name == "declared_limit":
        return str(Money(value, currency))
    if isinstance(field, models.DecimalField):
        return f"{Decimal(value).normalize():f} %"
    unit = _unit(field)
    if not unit:
        return str(value)
    return f"{value} {unit[:-1] if value == 1 else unit}"


def _unit(field: Any) -> str:
    """What a figure counts, by the end of its name."""
    end = str(field.verbose_name).rpartition(", in ")[2]
    if end in {"hours", "days", "months"}:
        return end
    if field.name == "grace_days":
        return "days"
    return "per cent" if ", per cent" in str(field.verbose_name) else ""
