"""Condition, set-up, story: what is said in words."""

from catalog.desk.forms.section import RecordForm


class ConditionForm(RecordForm):
    """The grade, and what a buyer would find."""

    columns = ["grade", "condition"]
    lines = {"condition": 10}
    blanks = {"grade": "Not graded yet"}


class SetUpForm(RecordForm):
    """How it is set up, and where it can be heard."""

    columns = ["setup", "hear_at"]
    lines = {"setup": 8}


class StoryForm(RecordForm):
    """What you would tell a visitor."""

    columns = ["story"]
    lines = {"story": 14}
