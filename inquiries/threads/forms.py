"""The forms that anybody may send, and how they tell a person from a robot without a puzzle."""

from datetime import UTC, datetime, timedelta
from typing import Any

from django import forms
from django.core import signing

from shop.fields import WordsField
from shop.wording import gettext_lazy as _

SHORTEST = timedelta(seconds=3)
LONGEST = timedelta(hours=24)
SALT = "inquiries.ask"


class OpenForm(forms.Form):
    """A form that anybody may send: a name, an address, a field that no person sees, and when it was shown.

    `about` is the stock number of the instrument it is about, or 0.
    """

    name = WordsField(
        label=_("Your name"), max_length=120, error_messages={"required": _("Please tell us your name.")}
    )
    email = forms.EmailField(
        label=_("Your e-mail address"),
        max_length=254,
        error_messages={
            "required": _("Please give an address that we can answer to."),
            "invalid": _("This does not read as an e-mail address: please look at its spelling."),
        },
    )
    website = forms.CharField(
        label=_("Leave this empty"),
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "tabindex": "-1"}),
    )
    shown = forms.CharField(required=False, max_length=400, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, about: int, at: datetime, prefix: str, **first: str) -> None:
        super().__init__(data, auto_id=f"{prefix}_%s", initial={"shown": seal(about, at=at), **first})
        self.about, self.at = about, at
        for name, kept in (("name", "name"), ("email", "email"), ("telephone", "tel")):
            if name in self.fields:
                self.fields[name].widget.attrs["autocomplete"] = kept

    @property
    def caught(self) -> bool:
        """Whether the field that no person sees was filled in."""
        return bool(self.data.get("website"))

    def clean_name(self) -> str:
        """One line."""
        return " ".join(str(self.cleaned_data["name"]).split())

    def clean(self) -> dict[str, Any]:
        """The form must have been on the screen for as long as a person writes, and not since yesterday."""
        values = super().clean() or {}
        since = opened_at(str(values.get("shown", "")), self.about)
        if since is None or self.at - since > LONGEST:
            self._seal_again()
            self.add_error(None, forms.ValidationError(TOO_OLD, code="too-old"))
        elif self.at - since < SHORTEST:
            self.add_error(None, forms.ValidationError(TOO_QUICK, code="too-quick"))
        return values

    def _seal_again(self) -> None:
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data["shown"] = seal(self.about, at=self.at)
        self.data = data


class AskForm(OpenForm):
    """A question about one instrument."""

    telephone = forms.CharField(
        label=_("Telephone"), max_length=40, required=False, widget=forms.TextInput(attrs={"type": "tel"})
    )
    message = WordsField(
        label=_("Your question"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": _("Please write what you would like to know.")},
    )

    def __init__(self, data: Any = None, *, stock: int, at: datetime) -> None:
        super().__init__(data, about=stock, at=at, prefix="ask")

    @classmethod
    def empty(cls, stock: int, *, at: datetime) -> "AskForm":
        """A form to be filled in from now on."""
        return cls(stock=stock, at=at)


TOO_QUICK = _("That was quicker than a person writes. What you wrote is kept below: please press once more.")
TOO_OLD = _(
    "This page had been open for more than a day. What you wrote is kept below: please press once more."
)


def seal(stock: int, *, at: datetime) -> str:
    """A signed note of when the form for this instrument was shown."""
    return signing.Signer(salt=SALT).sign_object([stock, at.timestamp()])


def begun(at: datetime) -> datetime:
    """The beginning of the hour, for a form on a page that is kept for many: the page is the same all that hour."""
    return at.replace(minute=0, second=0, microsecond=0)


def opened_at(sealed: str, stock: int) -> datetime | None:
    """When the form was shown; None for a note that is not ours or belongs to another instrument."""
    try:
        of, seconds = signing.Signer(salt=SALT).unsign_object(sealed)
    except (signing.BadSignature, ValueError):
        return None
    return datetime.fromtimestamp(seconds, tz=UTC) if of == stock else None
