"""Forms of a hold: for how long, for whom, and why it ends before its time."""

from django import forms

from inquiries.desk.inquiry_forms import CallerForm

LONGEST_HOLD_HOURS = 24 * 60  # as in the shop's profile


class HoldForm(forms.Form):
    """How long the hold is to run."""

    hours = forms.IntegerField(label="Length in hours", min_value=1, max_value=LONGEST_HOLD_HOURS)


class CallerHoldForm(CallerForm, HoldForm):
    """A hold for somebody who has not asked in writing."""

    field_order = ["name", "email", "telephone", "hours"]


class ReleaseForm(forms.Form):
    """Why a hold ends before its time."""

    reason = forms.CharField(label="Why it ends", max_length=200)
