"""The configuration as made against as it stands, and the way back."""

from django.http import QueryDict

from catalog.dating.forms import DealerDate
from catalog.desk.forms.section import RecordForm
from catalog.instruments.models import Instrument
from catalog.originality.queries import parts_of
from catalog.originality.rules import lying
from shop.staff.models import User


class ConversionForm(RecordForm):
    """When and how it was converted, and whether it can be converted back."""

    template = "desk/stock/conversion.html"
    columns = ["convertible_back", "conversion_when", "conversion_note"]
    lines = {"conversion_note": 4}
    blanks = {"convertible_back": "Not said"}

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        super().__init__(instrument, data, user)
        column = self.fields["conversion_when"]
        self.fields["conversion_when"] = DealerDate(
            required=False, label=column.label, help_text=column.help_text
        )

    @property
    def wanted(self) -> bool:
        """Whether there is something to say, or something said before."""
        return self.instrument.converted or any(getattr(self.instrument, name) for name in self.columns)

    def kept(self) -> list[str]:
        """The original parts that are no longer fitted and come with it."""
        return [lying(part) for part in parts_of(self.instrument) if part.kept]
