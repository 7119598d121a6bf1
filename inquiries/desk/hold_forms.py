"""Forms of a hold: on what terms, for whom, how much longer, what its person was told, why it ends before its time."""

from typing import Any

from django import forms

from inquiries.desk.inquiry_forms import CallerForm, EntryForm
from inquiries.sales.hold_models import Hold
from inquiries.sales.promises import DAY_HOURS, Promise, why_not
from inquiries.threads.models import Message
from shop.policies.models import YEAR, HousePolicy

Condition = Hold.Condition
BY_HAND = [Message.Channel.TELEPHONE, Message.Channel.VISIT, Message.Channel.LETTER, Message.Channel.MAIL]


class HoldForm(forms.Form):
    """On what terms a hold is to run, as the house policy allows; nothing said of a deposit is none.

    Cleaned to `promise`.
    """

    condition = forms.ChoiceField(
        label="On what terms",
        choices=[(Condition.FREE.value, "Free"), (Condition.DEPOSIT.value, "With a deposit")],
        widget=forms.RadioSelect,
        required=False,
    )
    hours = forms.IntegerField(label="Length in hours", min_value=1, max_value=YEAR, required=False)
    due_hours = forms.IntegerField(
        label="The deposit is due within, in hours", min_value=1, max_value=YEAR, required=False
    )
    days = forms.IntegerField(
        label="The balance is due within, in days", min_value=1, max_value=730, required=False
    )

    def __init__(self, data: Any = None, *, policy: HousePolicy, **options: Any) -> None:
        proposed = {
            "condition": Condition.FREE.value,
            "hours": policy.hold_hours,
            "due_hours": policy.deposit_due_hours,
            "days": policy.deposit_hold_days,
        }
        super().__init__(data, initial=proposed, **options)
        self.policy = policy
        self.fields["hours"].help_text = f"{policy.hold_most_hours} at most without a deposit."
        self.fields[
            "due_hours"
        ].help_text = (
            f"{policy.deposit_due_hours} at most. Without the deposit the hold ends at that instant."
        )
        self.fields["days"].help_text = f"{policy.deposit_hold_days} at most, from the start of the hold."

    def clean_condition(self) -> str:
        """Free, unless a deposit is said."""
        return str(self.cleaned_data["condition"] or Condition.FREE)

    def clean(self) -> dict[str, Any]:
        """Put together `promise`, from the figures that belong to the terms, and ask the policy."""
        given = super().clean() or self.cleaned_data
        deposit = given.get("condition") == Condition.DEPOSIT
        for name in ("due_hours", "days") if deposit else ("hours",):
            if given.get(name) is None and name not in self.errors:
                self.add_error(name, forms.ValidationError("This field is required.", code="required"))
        for name in ("hours",) if deposit else ("due_hours", "days"):
            self.errors.pop(name, None)  # of the other terms: it stands there and says nothing
        if self.errors:
            return given
        given["promise"] = (
            Promise(given["due_hours"], given["days"] * DAY_HOURS) if deposit else Promise(given["hours"])
        )
        if refused := why_not(given["promise"], self.policy):
            raise forms.ValidationError(refused, code="not-by-policy")
        return given


class CallerHoldForm(CallerForm, HoldForm):
    """A hold for somebody who has not asked in writing."""

    field_order = ["name", "email", "telephone", "condition", "hours", "due_hours", "days"]

    @property
    def caller_fields(self) -> list[forms.BoundField]:
        """For whom; the terms have their own part of the page."""
        return [self[name] for name in CallerForm.base_fields]


class ExtendForm(forms.Form):
    """By how much a hold is made longer."""

    hours = forms.IntegerField(label="Longer by, in hours", min_value=1, max_value=YEAR)


class TellForm(EntryForm):
    """What is told, and the span as it stood when the form was made, so that nothing outdated is told."""

    what = forms.CharField(widget=forms.HiddenInput)
    span = forms.CharField(widget=forms.HiddenInput, required=False)


class LetterForm(TellForm):
    """A letter to the person of a hold."""

    text = forms.CharField(
        label="Letter",
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 14}),
        help_text="It goes out by e-mail at once, and stands in the thread.",
    )


class ByHandForm(TellForm):
    """They were told by telephone, on a visit, by letter."""

    channel = forms.ChoiceField(label="How", choices=[(one.value, one.label) for one in BY_HAND])
    note = forms.CharField(
        label="What was said",
        max_length=2_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Left empty, the thread says what they were told.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        # It stands on one page with the letter, and an id is given once to a page.
        super().__init__(*args, **{"auto_id": "by_hand_%s", **options})


class ReleaseForm(forms.Form):
    """Why a hold ends before its time, and whose word it is: ours is still to be told."""

    reason = forms.CharField(label="Why it ends", max_length=200)
    given_up = forms.ChoiceField(
        label="Whose word it is",
        required=False,
        choices=[
            ("", "Ours: they are still to be told"),
            (Message.Channel.TELEPHONE.value, "Theirs, by telephone"),
            (Message.Channel.VISIT.value, "Theirs, on a visit"),
            (Message.Channel.LETTER.value, "Theirs, by letter"),
            (Message.Channel.MAIL.value, "Theirs, by e-mail"),
        ],
    )
