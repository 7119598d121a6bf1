"""Forms of a parcel: photographs before sealing, the parcel as it goes or as it is fetched, the delivery, a loss."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.forms import BoundField

from inquiries.desk.fields import LengthField, MassField, MoneyField
from inquiries.people.forms import CountryField
from inquiries.shipping.address_rules import Checked
from inquiries.shipping.address_rules import check as check_address
from inquiries.shipping.clock_rules import instants, left_out
from inquiries.shipping.leaving_rules import NO_NUMBER, WHO_CAME, names_a_number
from inquiries.shipping.models import Shipment
from inquiries.shipping.zones import said, zone_groups
from shop.money import Money
from shop.staff.models import User
from shop.units import Length, Mass

COMMON_FIELDS = ("uncleared_reason",)
PARCEL_FIELDS = (
    "carrier", "service", "declared_value", "tracking", "address", "country", "signature", "limit_reason",
    "unpictured_reason", *COMMON_FIELDS,
)  # fmt: skip
COLLECTED_FIELDS = ("collected_by", "identity", "handed_by", *COMMON_FIELDS)
SIDES = ("carton_length", "carton_width", "carton_height")
LONGEST = Length(200 * 64, "in64")
LOCAL = "%Y-%m-%dT%H:%M"
NOBODY = "Whoever records it"


@dataclass(frozen=True)
class Asked:
    """What a parcel of one sale is asked for, and by which rules."""

    currency: str
    carriers: list[str]
    uncleared: bool
    limit: Money | None
    unpictured: bool
    home: str
    staff: Iterable[User]


class ParcelForm(forms.Form):
    """The parcel as it goes, or that somebody came for the piece."""

    carrier = forms.ChoiceField(required=False)
    service = forms.CharField(max_length=60, required=False)
    tracking = forms.CharField(label="Tracking number", max_length=60, required=False)
    signature = forms.ChoiceField(
        label="Signature asked for", choices=Shipment.Signature.choices, required=False, initial="buyer"
    )
    carton_length = LengthField(
        label="Carton length", most=LONGEST, required=False, help_text="46½ in, or 118 cm."
    )
    carton_width = LengthField(label="Carton width", most=LONGEST, required=False)
    carton_height = LengthField(label="Carton height", most=LONGEST, required=False)
    weight = MassField(required=False, help_text="Packed, as the scale reads: 14 lb 6 oz, or 6.5 kg.")
    address = forms.CharField(
        label="Sent to",
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="As on the label, line by line. It is kept as it stands here.",
    )
    country = CountryField(required=False)
    collected = forms.BooleanField(label="Collected in person", required=False)
    collected_by = forms.CharField(label="Who came for it", max_length=120, required=False)
    identity = forms.CharField(
        label="How the person was known",
        max_length=200,
        required=False,
        help_text="The kind of paper you looked at, never its number: passport, driving licence.",
    )

    def __init__(self, *args: Any, asked: Asked, **options: Any) -> None:
        super().__init__(*args, **options)
        self.asked = asked
        self.fields["carrier"].choices = [("", "Choose"), *((name, name) for name in asked.carriers)]  # type: ignore[attr-defined]
        most = f"At most {asked.limit} by your own policy." if asked.limit else ""
        self.fields["declared_value"] = MoneyField(
            currency=asked.currency,
            kept=2,
            required=False,
            label=f"Declared value, {asked.currency}",
            help_text=most,
        )
        staff = {str(user.pk): user for user in asked.staff}
        self.fields["handed_by"] = forms.TypedChoiceField(
            label="Handed over by",
            choices=[("", NOBODY), *((key, str(user)) for key, user in staff.items())],
            coerce=staff.get,
            empty_value=None,
            required=False,
        )
        for name, label in self._reasons():
            self.fields[name] = forms.CharField(label=label, max_length=300, required=False)

    def _reasons(self) -> Iterable[tuple[str, str]]:
        if self.asked.uncleared or self.is_bound:
            yield "uncleared_reason", "Why it leaves before the money has cleared"
        if self.asked.limit:
            yield "limit_reason", f"If above {self.asked.limit}: why it goes all the same"
        if self.asked.unpictured:
            yield "unpictured_reason", "Why no photograph was taken before sealing"

    def _fields(self, *names: str) -> list[BoundField]:
        return [self[name] for name in names if name in self.fields]

    def parts(self) -> list[tuple[str, list[BoundField]]]:
        """The fields as they stand on the page, with their headings."""
        return [
            (
                "Carrier and carton",
                self._fields(
                    "carrier", "service", "tracking", "signature", "declared_value", "weight", *SIDES
                ),
            ),
            ("Where it goes", self._fields("address", "country")),
            ("If somebody comes for it", self._fields("collected", "collected_by", "identity", "handed_by")),
            ("Reasons to be kept", self._fields("uncleared_reason", "limit_reason", "unpictured_reason")),
        ]

    def checked(self) -> Checked:
        """The address as it stands in the form, looked at by the rules of its country."""
        address, country = self["address"].value() or "", self["country"].value() or ""
        return check_address(str(address), str(country), home=self.asked.home)

    def clean(self) -> dict[str, Any]:
        """A parcel has a carrier; a carton has three sides or none is given. Puts together `shipment`."""
        given = super().clean() or self.cleaned_data
        if given.get("collected"):
            self._check_collected(given)
        elif not given.get("carrier") and "carrier" not in self.errors:
            self._complain("carrier", "Choose the carrier, or mark it as collected.", "no-carrier")
        self._check_carton(given)
        if not self.errors:
            given["shipment"] = self._shipment(given)
        return given

    def _complain(self, field: str, message: str, code: str) -> None:
        self.add_error(field, forms.ValidationError(message, code=code))

    def _check_collected(self, given: dict[str, Any]) -> None:
        for field in ("collected_by", "identity"):
            if not given.get(field) and field not in self.errors:
                self._complain(field, WHO_CAME, "who-came")
        if names_a_number(given.get("identity", "")):
            self._complain("identity", NO_NUMBER, "number-of-a-paper")

    def _check_carton(self, given: dict[str, Any]) -> None:
        missing = [side for side in SIDES if given.get(side) is None and side not in self.errors]
        if len(missing) in {1, 2}:
            self._complain(missing[0], "Give all three sides of the carton, or none.", "carton")
        other = [side for side in SIDES if given.get(side) and given[side].unit != _unit(given)]
        if other:
            self._complain(other[0], "Give all three sides in inches, or all in centimetres.", "two-units")

    def typed(self) -> Shipment:
        """What could be read of a bound form, unsaved, whatever else is wrong with it."""
        self.is_valid()
        return self._shipment(dict.fromkeys((*SIDES, "declared_value")) | self.cleaned_data)

    def _shipment(self, given: dict[str, Any]) -> Shipment:
        """The shipment as the deed takes it, unsaved. Of a collected piece nothing of a parcel is kept."""
        if given.get("collected"):
            return Shipment(**{name: given.get(name) or _nothing(name) for name in COLLECTED_FIELDS})
        weight: Mass | None = given.get("weight")
        amount, unit = weight.stored if weight else (None, "")
        columns = {name: given.get(name, "") for name in PARCEL_FIELDS}
        columns["signature"] = columns["signature"] or Shipment.Signature.NONE
        columns["address"] = "\n".join(
            line.strip() for line in columns["address"].splitlines() if line.strip()
        )
        return Shipment(weight_amount=amount, weight_unit=unit, **_carton(given), **columns)


def _nothing(name: str) -> str | None:
    return None if name == "handed_by" else ""


def _unit(given: dict[str, Any]) -> str:
    """The unit of the first side that could be read."""
    return next((given[side].unit for side in SIDES if given.get(side)), "")


def _carton(given: dict[str, Any]) -> dict[str, Any]:
    """The sides as they are kept: three of one unit, or none."""
    if not all(given.get(side) and given[side].unit == _unit(given) for side in SIDES):
        return {}
    return {side: given[side].amount for side in SIDES} | {"carton_unit": _unit(given)}


class PicturesForm(forms.Form):
    """What the photographs show that are sent in together; the files themselves come beside it."""

    caption = forms.CharField(label="What they show", max_length=200, required=False)


class WallClockField(forms.Field):
    """A day and a time as a clock on the wall shows them, without a zone."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.DateTimeInput(attrs={"type": "datetime-local"}, format=LOCAL))
        super().__init__(**options)

    def to_python(self, value: Any) -> datetime | None:
        """Read it to the minute."""
        if value in self.empty_values:
            return None
        try:
            return datetime.fromisoformat(str(value)).replace(tzinfo=None, second=0, microsecond=0)
        except ValueError:
            message = "Write a day and a time, such as 2026-03-08T14:05."
            raise forms.ValidationError(message, code="invalid") from None


class DeliveredForm(forms.Form):
    """When the buyer had it, on the clock of the buyer."""

    delivered_at = WallClockField(label="Delivered")
    zone = forms.ChoiceField(label="On the clock of", required=False)
    which = forms.ChoiceField(label="Which of the two", required=False, widget=forms.RadioSelect)
    signed_by = forms.CharField(max_length=80, required=False)
    note = forms.CharField(max_length=200, required=False)

    def __init__(
        self, *args: Any, shipped_at: datetime | None, country: str, zone: str, at: datetime, **options: Any
    ) -> None:
        wall = at.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
        options.setdefault("initial", {"delivered_at": wall, "zone": zone})
        super().__init__(*args, **options)
        self.shipped_at, self.proposed = shipped_at, zone
        self.fields["zone"].choices = zone_groups(country)  # type: ignore[attr-defined]
        self.fields[
            "delivered_at"
        ].help_text = "Date and time where the buyer is. The approval period runs from here."
        self.twice = self._twice()
        if self.twice:
            self.fields["which"].choices = [(str(place), one) for place, one in enumerate(self.twice)]  # type: ignore[attr-defined]
        else:
            del self.fields["which"]

    def _meant(self, wall: datetime | None, zone: str) -> tuple[datetime, ...]:
        return instants(wall, ZoneInfo(zone)) if wall else ()

    def _twice(self) -> list[str]:
        """Of a time that its clocks show twice: how each is told from the other."""
        if not self.is_bound:
            return []
        try:
            wall = self.fields["delivered_at"].clean(self["delivered_at"].value())
            zone = self.fields["zone"].clean(self["zone"].value()) or self.proposed
        except forms.ValidationError:
            return []
        meant = self._meant(wall, zone)
        if len(meant) < 2:
            return []
        local = [one.astimezone(ZoneInfo(zone)) for one in meant]
        words = ("The first, before the clocks were put back", "The second, after they were put back")
        return [
            f"{said_so} ({one.tzname()}, {_offset(one)})" for said_so, one in zip(words, local, strict=True)
        ]

    def clean(self) -> dict[str, Any]:
        """Make an instant of it. A time that no clock showed is refused, and of one that came twice it is asked which.

        A time is typed to the minute: the minute it was handed over counts as after the handing over.
        """
        given = super().clean() or self.cleaned_data
        wall, zone = given.get("delivered_at"), given.get("zone") or self.proposed
        given["zone"] = zone
        if self.errors or wall is None:
            return given
        meant = self._meant(wall, zone)
        if not meant:
            self.add_error("delivered_at", _no_such_time(wall, zone))
        elif len(meant) > 1 and not given.get("which"):
            message = f"The clocks of {said(zone)} showed {_time(wall)} twice that day. Choose which of the two it was."
            self.add_error("which", forms.ValidationError(message, code="twice"))
        else:
            given["delivered_at"] = self._after_sending(meant[int(given.get("which") or 0)])
        return given

    def _after_sending(self, instant: datetime) -> datetime:
        sent = self.shipped_at
        return sent if sent and instant == sent.replace(second=0, microsecond=0) else instant


def _no_such_time(wall: datetime, zone: str) -> forms.ValidationError:
    early, late = left_out(wall, ZoneInfo(zone))
    return forms.ValidationError(
        f"No clock of {said(zone)} showed {_time(wall)} that day: they were put forward. "
        f"Write it as {_time(early)} or {_time(late)}, as it was.",
        code="left-out",
    )


def _offset(local: datetime) -> str:
    sign = f"{local:%z}"
    return f"UTC{sign[:3]}:{sign[3:5]}".replace("-", "−")


def _time(wall: datetime) -> str:
    return f"{wall:%-I:%M} {'am' if wall.hour < 12 else 'pm'}"


class LossForm(forms.Form):
    """What the carrier says, and the claim that was made."""

    what = forms.CharField(label="What the carrier says", max_length=300)
    claim = forms.CharField(label="Number of the claim", max_length=60, required=False)
