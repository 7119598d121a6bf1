"""Condition, set-up, story: what is said in words, and read for what it claims while it is typed."""

from typing import ClassVar

from django.http import QueryDict
from django.urls import reverse

from catalog.claims.queries import Reading, read_draft, with_claims
from catalog.desk.forms.section import RecordForm
from catalog.instruments.models import Instrument
from shop.staff.models import User


class ReadForm(RecordForm):
    """A section with one text, `read`, that is read for claims: a moment after the typing stops, and as it stands."""

    template = "desk/stock/words.html"
    read: ClassVar[str]

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        super().__init__(instrument, data, user)
        self.fields[self.read].widget.attrs |= {
            "data-hx-post": reverse("claims-read", args=[instrument.stock_id]),
            "data-hx-trigger": "input changed delay:600ms",
            "data-hx-target": "#claims-read",
            "data-hx-swap": "innerHTML",
            "data-hx-sync": "this:replace",
        }

    @property
    def readings(self) -> list[Reading]:
        """What the text claims as it stands in the field."""
        whole = with_claims(Instrument.objects.all()).get(pk=self.instrument.pk)
        return read_draft(whole, self.read, str(self[self.read].value() or ""))


class ConditionForm(ReadForm):
    """The grade, and what a buyer would find."""

    columns = ["grade", "condition"]
    lines = {"condition": 10}
    blanks = {"grade": "Not graded yet"}
    read = "condition"


class SetUpForm(ReadForm):
    """How it is set up, and where it can be heard."""

    columns = ["setup", "hear_at"]
    lines = {"setup": 8}
    read = "setup"


class StoryForm(ReadForm):
    """What you would tell a visitor."""

    columns = ["story"]
    lines = {"story": 14}
    read = "story"
