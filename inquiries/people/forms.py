"""The forms over a person: what letters and receipts are addressed to, and every way to reach them."""

from typing import Any

from django import forms

from inquiries.people.models import Contact, PostalAddress
from inquiries.people.places import UnknownLanguage, countries, language_names, read_languages
from inquiries.people.queries import known_by
from shop.fields import WordsField

NO_COUNTRY = ("", "Not known")
TAKEN = "Somebody else is known by this e-mail address."
LONGEST_LANGUAGES = 60


class CountryField(forms.ChoiceField):
    """A country by its name, kept as its two letters of ISO 3166."""

    default_error_messages = {"invalid_choice": "This is no country. Choose one from the list."}

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=lambda: [NO_COUNTRY, *countries().items()], **options)


class LanguagesField(forms.CharField):
    """Languages by name or by their letters; kept as the letters of ISO 639, shown by name."""

    def clean(self, value: Any) -> str:
        """The letters, with a comma between them; what is no language is an error."""
        try:
            kept = ", ".join(read_languages(str(super().clean(value))))
        except UnknownLanguage as error:
            raise forms.ValidationError(error.message, code="language") from None
        if len(kept) > LONGEST_LANGUAGES:
            raise forms.ValidationError("These are too many. Write the ones that matter.", code="too-many")
        return kept

    def prepare_value(self, value: Any) -> Any:
        """By name."""
        return ", ".join(language_names(value)) if isinstance(value, str) else value


class ContactForm(forms.ModelForm):
    """Name, ways to reach them, address, resale certificate, and a private note."""

    name = WordsField(max_length=120)
    address = WordsField(
        label="Postal address",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="As on an envelope, a line each, without the country. Receipts print it.",
    )
    country = CountryField(required=False)
    languages = LanguagesField(
        required=False, max_length=200, help_text="The one they like best first: German, English."
    )

    class Meta:
        model = Contact
        fields = [
            "name",
            "email",
            "telephone",
            "address",
            "country",
            "languages",
            "reach_by",
            "resale_certificate",
            "resale_state",
            "resale_until",
            "note",
        ]
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "resale_until": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }
        labels = {
            "note": "Private note",
            "reach_by": "Likes to be reached by",
            "resale_certificate": "Number of the resale certificate",
            "resale_state": "Issued by",
            "resale_until": "Good until",
        }
        help_texts = {
            "telephone": "Typed in any way. One from abroad begins with + and the code of its country.",
            "note": "Never printed, and never sent.",
        }

    def clean_email(self) -> str:
        """An address that nobody else is known by."""
        email = str(self.cleaned_data["email"])
        known = known_by(email)
        if known is not None and known.pk != self.instance.pk:
            raise forms.ValidationError(TAKEN, code="e-mail-taken")
        return email


class EmailForm(forms.Form):
    """One more e-mail address."""

    email = forms.EmailField(label="Another e-mail address", max_length=254)


class PlaceForm(forms.ModelForm):
    """One more postal address."""

    country = CountryField(required=False)

    class Meta:
        model = PostalAddress
        fields = ["label", "lines", "country"]
        widgets = {"lines": forms.Textarea(attrs={"rows": 4})}
        labels = {"label": "What it is", "lines": "As on an envelope"}


class OwnedForm(forms.Form):
    """A piece that they have."""

    what = forms.CharField(label="A piece they own", max_length=200, help_text="Maker, model, year.")
    note = forms.CharField(label="Private note", max_length=300, required=False)


class ErasedForm(forms.Form):
    """The second step."""

    sure = forms.BooleanField(
        label="I have read what goes and what stays, and want it erased for good",
        error_messages={"required": "Nothing was erased. Tick the box if you want it erased for good."},
    )
