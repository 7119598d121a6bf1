"""Loading a table of numbers, and the dated features of a maker."""

import uuid
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.forms.models import inlineformset_factory
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict

from catalog.dating.forms import DealerDate
from catalog.dating.models import Feature
from catalog.dating.tables import HEADER, MOST_BYTES, TableLine, UnreadableTable, decoded, read_table
from catalog.desk.forms.formsets import Rows
from catalog.instruments.models import FoundNumber, Maker, Model

WIDEST_SOURCE = 150  # characters: evidence cites the source with its page in 200
SPARE = 3


class TableForm(forms.Form):
    """A table of numbers from a file or pasted. What a file held stands in the form when it cannot be loaded."""

    entry = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    what = forms.ChoiceField(label="Which numbers", choices=FoundNumber.What.choices)
    source = forms.CharField(
        max_length=WIDEST_SOURCE,
        help_text="The book, ledger or article: author, title, year. A new load retires the older one of that source.",
        widget=forms.TextInput(attrs={"list": "sources", "autocomplete": "off"}),
    )
    file = forms.FileField(label="CSV file", required=False, allow_empty_file=True)
    text = forms.CharField(
        label="Or the table itself, pasted",
        required=False,
        strip=False,
        help_text=f"The first line names the columns: {HEADER}. Comma, semicolon or tab between them.",
        widget=forms.Textarea(attrs={"rows": 8}),
    )

    def __init__(
        self, data: QueryDict | None, files: "MultiValueDict[str, UploadedFile[bytes]] | None"
    ) -> None:
        self.lines: list[TableLine] = []
        self.trouble = ""
        upload = files.get("file") if files else None
        if data is not None and upload:
            data = data.copy()
            data["text"] = self._taken_in(upload)
        super().__init__(data, files)

    def _taken_in(self, upload: "UploadedFile[bytes]") -> str:
        """The file's text, so that it stands in the form whatever is wrong with it."""
        if (upload.size or 0) > MOST_BYTES:
            self.trouble = "The file is larger than a megabyte. Load the table in parts."
            return ""
        content: bytes = upload.read()
        if not content or b"\0" in content:
            self.trouble = "The file holds no text. Save the table as CSV, and choose that file."
            return ""
        try:
            return decoded(content)
        except UnreadableTable as error:
            self.trouble = f"{error} It stands below as it looks in the Western European encoding."
            return content.decode("cp1252", "replace")

    def clean(self) -> dict[str, Any]:
        """The lines of the table, or what is wrong with them."""
        text = self.cleaned_data.get("text", "")
        if self.trouble:
            self.add_error("text", self.trouble)
        elif not text.strip() and "text" not in self.errors:
            self.add_error("text", "Choose a file, or paste the table.")
        elif "text" not in self.errors:
            self._read(text)
        return self.cleaned_data

    def _read(self, text: str) -> None:
        try:
            self.lines = read_table(text)
        except UnreadableTable as error:
            self.add_error("text", error.sentences)


class FeatureForm(forms.ModelForm):
    """One dated feature; its years are read as every date is."""

    when = DealerDate(label="Years of use", help_text="1924 to 1931, not before 1928.")

    class Meta:
        model = Feature
        fields = ["name", "model", "when", "source", "page"]
        labels = {"name": "Feature", "model": "On the model"}

    def clean_source(self) -> str:
        """The source, short enough to be cited with its page."""
        source = str(self.cleaned_data["source"])
        if len(source) > WIDEST_SOURCE:
            raise forms.ValidationError(f"A source has {WIDEST_SOURCE} characters at most.")
        return source


class FeatureRows(Rows):
    """Features of one maker; each speaks of all its models or of one."""

    instance: Maker

    def add_fields(self, form: Any, index: int | None) -> None:
        """Offer this maker's models alone."""
        super().add_fields(form, index)
        if not hasattr(self, "models"):
            self.models = [("", "Every model"), *self.instance.models.values_list("pk", "name")]
        form.fields["model"].queryset = Model.objects.filter(maker=self.instance)
        form.fields["model"].choices = self.models
        if form.instance.pk:
            form.fields["when"].help_text = ""


FeatureFormSet = inlineformset_factory(Maker, Feature, form=FeatureForm, formset=FeatureRows, extra=SPARE)
