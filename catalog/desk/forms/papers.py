"""What may be said of a paper, and its file when it comes."""

import uuid
from datetime import datetime
from typing import Any, ClassVar, TypeAlias

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.forms.models import fields_for_model
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict

from catalog.dating.forms import DealerDate
from catalog.instruments.models import Instrument
from catalog.papers.actions import add_paper, change_paper
from catalog.papers.intake import TYPES
from catalog.papers.models import Paper
from catalog.provenance.queries import not_to_be_named
from catalog.provenance.rules import names_in
from shop.refusal import Refused
from shop.staff.models import User

ACCEPTED = ",".join([*TYPES.values(), ".heic", ".heif"])
Files: TypeAlias = "MultiValueDict[str, UploadedFile[bytes]] | None"


def file_field(help_text: str) -> forms.FileField:
    """The scan of a paper; that it may be left out is for the deed to say, which knows what the shop has."""
    return forms.FileField(
        label="Scan or photograph",
        required=False,
        allow_empty_file=True,
        help_text=help_text,
        widget=forms.FileInput(attrs={"accept": ACCEPTED}),
    )


class PaperForm(forms.Form):
    """The words on a paper, and its file while it has none; from whom it came only when `user` is the owner."""

    columns: ClassVar[list[str]] = ["kind", "title", "when", "copy", "comes_along", "public", "note"]
    # Which field a refusal belongs to, when not to the file.
    places: ClassVar[dict[str, str | None]] = {
        "seen": "copy",
        "has-file": "copy",
        "without-file": "copy",
        "changed-meanwhile": None,
    }

    def __init__(
        self,
        instrument: Instrument,
        user: User,
        data: QueryDict | None,
        files: Files = None,
        paper: Paper | None = None,
    ) -> None:
        self.instrument, self.user, self.paper = instrument, user, paper
        columns = [*self.columns, "from_whom"] if user.is_owner else self.columns
        known = {name: getattr(paper, name) for name in columns} if paper else {}
        super().__init__(data, files, initial=known)
        self.fields.update(fields_for_model(Paper, columns))
        help_text = "As it stands on the paper: 1927, 12 May 1927, c. 1950."
        self.fields["when"] = DealerDate(label="Its date", required=False, help_text=help_text)
        if user.is_owner:
            self.fields["from_whom"].help_text = "Only the owner sees it, and it never leaves the desk."
        if paper and not paper.sha256:
            self.fields["file"] = file_field("If it has come since: say above what we have now, and send it.")
        self.columns_here = columns

    def clean(self) -> dict[str, Any]:
        """What is not here cannot come along; a title that buyers read names nobody who has not agreed."""
        values = self.cleaned_data
        if values.get("comes_along") and values.get("copy") == Paper.Copy.SEEN:
            self.add_error("comes_along", "A paper that is not here cannot come with the instrument.")
        if values.get("public"):
            self._refuse_names(values.get("title", ""))
        return values

    def _refuse_names(self, title: str) -> None:
        whom = self.cleaned_data.get("from_whom", self.paper.from_whom if self.paper else "")
        people = [whom, *not_to_be_named(self.instrument.provenance.all())]
        for name in next(filter(None, (names_in(title, person) for person in people)), [])[:1]:
            self.add_error(
                "title",
                f"“{name}” names a person who has not agreed to be named. Leave the name out, "
                "or do not let the paper be named to buyers.",
            )

    def values(self) -> dict[str, Any]:
        """Column and value, as the deed takes them."""
        return {name: self.cleaned_data[name] for name in self.columns_here}

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Change the paper; False when that is refused, with the reason among the form's errors."""
        assert self.paper is not None  # noqa: S101 - a programmer's slip, not a reader's
        upload = self.cleaned_data.get("file")
        try:
            change_paper(self.paper, self.values(), upload, by=by, at=at, revision=revision)
        except Refused as refused:
            self.refuse(refused)
        return not self.errors

    def refuse(self, refused: Refused) -> None:
        """Put a refusal where it belongs."""
        place = self.places.get(refused.code, "file")
        self.add_error(place if place in self.fields else None, refused.message)


class NewPaperForm(PaperForm):
    """A paper with its scan. `entry` names the press of the form, so that two presses are one paper."""

    entry = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    file = file_field(
        "PDF, JPEG, PNG, TIFF, HEIC, WebP or AVIF. It is kept as it came, and never shown to buyers."
    )

    def keep(self, *, by: User, at: datetime, revision: int | None = None) -> bool:
        """Take the paper in; False when that is refused, with the reason among the form's errors."""
        upload, entry = self.cleaned_data["file"], self.cleaned_data["entry"]
        try:
            add_paper(self.instrument, self.values(), upload, entry=entry, by=by, at=at)
        except Refused as refused:
            self.refuse(refused)
        return not self.errors
