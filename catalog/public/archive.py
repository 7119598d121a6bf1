"""The sold archive, narrowed by kind, maker and year of sale, with how many pieces each choice would find."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.db.models import Count, Max, Min, Q
from django.utils import timezone

from catalog.instruments.addresses import Places, maker_places
from catalog.instruments.models import Instrument, Kind, Maker
from catalog.instruments.queries import InstrumentQuerySet
from shop.wording import gettext_lazy as _
from shop.wording import shipped

LABELS = {"kind": _("Kind"), "maker": _("Maker"), "year": _("Year of sale")}
FIRST_YEAR, LAST_YEAR = 1900, 2200


@dataclass(frozen=True)
class Choice:
    """One choice: how it stands in the address, its name, and how many pieces it would find."""

    value: str
    name: str
    many: int
    chosen: bool


@dataclass(frozen=True)
class Question:
    """What may be chosen of one thing."""

    name: str
    label: str
    choices: list[Choice]

    @property
    def chosen(self) -> Choice | None:
        """The choice that was made."""
        return next((choice for choice in self.choices if choice.chosen), None)


class Cut(NamedTuple):
    """A choice that was made: its value in addresses as it is now, and what it says of the pieces."""

    value: str
    says: Q


Reader = Callable[[str], Cut | None]


class Archive:
    """The archive as an address narrows it. A value that nothing answers to chooses nothing."""

    def __init__(self, asked: Mapping[str, str]) -> None:
        self.places: Places = maker_places()
        self.kinds = {kind.slug: kind for kind in Kind.objects.all()}
        readers: dict[str, Reader] = {"kind": self._kind, "maker": self._maker, "year": self._year}
        found = {name: readers[name](asked.get(name, "")) for name in LABELS}
        self.narrowing = {name: cut for name, cut in found.items() if cut is not None}

    def _kind(self, value: str) -> Cut | None:
        return Cut(value, Q(kind=self.kinds[value].pk)) if value in self.kinds else None

    def _maker(self, value: str) -> Cut | None:
        key = self.places.key_at(value)
        if key is None or not Instrument.objects.archived().filter(maker=key).exists():
            return None
        return Cut(self.places.slugs[key], Q(maker=key))

    def _year(self, value: str) -> Cut | None:
        if not (value.isdecimal() and len(value) == 4 and FIRST_YEAR <= int(value) <= LAST_YEAR):
            return None
        return Cut(str(int(value)), _in_year(int(value)))

    def pieces(self, *, but: str = "") -> InstrumentQuerySet:
        """What answers to every choice, or to every one but the one for `but`; the latest sale first."""
        cuts = [cut.says for name, cut in self.narrowing.items() if name != but]
        return Instrument.objects.archived().filter(*cuts)

    def questions(self) -> list[Question]:
        """Each question with its choices, counted under what was chosen for the others."""
        rows = {"kind": self._kinds(), "maker": self._makers(), "year": self._years()}
        return [Question(name, str(LABELS[name]), self._choices(name, rows[name])) for name in LABELS]

    def _choices(self, name: str, rows: list[tuple[str, str, int]]) -> list[Choice]:
        asked = self._value(name)
        return [
            Choice(value, says, many, value == asked) for value, says, many in rows if many or value == asked
        ]

    def _value(self, name: str) -> str:
        cut = self.narrowing.get(name)
        return cut.value if cut else ""

    def _kinds(self) -> list[tuple[str, str, int]]:
        many = self._counted("kind")
        return [(slug, shipped(row.plural), many.get(row.pk, 0)) for slug, row in self.kinds.items()]

    def _makers(self) -> list[tuple[str, str, int]]:
        many, slugs = self._counted("maker"), self.places.slugs
        chosen = self.places.key_at(self._value("maker"))
        makers = Maker.objects.filter(pk__in=[key for key in {*many, chosen} if key is not None])
        return [(slugs[row.pk], row.name, many.get(row.pk, 0)) for row in makers]

    def _counted(self, name: str) -> dict[int, int]:
        rows = self.pieces(but=name).order_by().values_list(name)
        return dict(rows.annotate(many=Count("pk")).values_list(name, "many"))

    def _years(self) -> list[tuple[str, str, int]]:
        found = self.pieces(but="year").order_by()
        ends = found.aggregate(first=Min("sold_at"), last=Max("sold_at"))
        years = _years_between(ends["first"], ends["last"])
        if asked := self._value("year"):
            years = sorted({*years, int(asked)}, reverse=True)
        many = found.aggregate(**{f"in_{year}": Count("pk", filter=_in_year(year)) for year in years})
        return [(str(year), str(year), many[f"in_{year}"]) for year in years]


def _in_year(year: int) -> Q:
    """Sold in that year by the shop's clock."""
    zone = timezone.get_current_timezone()
    begins, ends = datetime(year, 1, 1, tzinfo=zone), datetime(year + 1, 1, 1, tzinfo=zone)
    return Q(sold_at__gte=begins, sold_at__lt=ends)


def _years_between(first: datetime | None, last: datetime | None) -> list[int]:
    if first is None or last is None:
        return []
    return list(range(timezone.localtime(last).year, timezone.localtime(first).year - 1, -1))
