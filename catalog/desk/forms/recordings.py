"""What may be said of a recording."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.pictures.models import Photograph
from catalog.recordings.actions import change_recording
from catalog.recordings.models import Recording
from catalog.recordings.vtt import Cue, NotVtt, as_lines, read, read_captions, read_chapters, written
from shop.refusal import Refused
from shop.staff.models import User

LONGEST = 200_000  # characters: the captions of some hours


class RecordingForm(forms.Form):
    """Title, captions, chapters, and of a film the picture before it plays."""

    title = forms.CharField(
        label="What is heard",
        max_length=200,
        required=False,
        help_text="Shown to buyers: “All strings open, then the chords of a waltz”.",
    )
    chapters = forms.CharField(
        max_length=LONGEST,
        required=False,
        help_text="A line for each: the time, then the title, such as 0:14 Condition. WebVTT is read as well.",
        widget=forms.Textarea(attrs={"rows": 8}),
    )
    captions = forms.CharField(
        label="Captions (WebVTT)",
        max_length=LONGEST,
        required=False,
        help_text="What is said, for those who cannot hear it: a line WEBVTT, an empty line, then for each a line with "
        "its times, 00:05.000 --> 00:09.500, and below it the words.",
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "true"}),
    )

    def __init__(self, recording: Recording, data: QueryDict | None = None) -> None:
        self.recording = recording
        initial = {
            "title": recording.title,
            "captions": recording.captions,
            "chapters": chapters_as_typed(recording.chapters, recording.milliseconds),
        }
        super().__init__(data, initial=initial)
        if recording.film:
            self.fields["poster"] = forms.ModelChoiceField(
                label="Picture before it plays",
                queryset=Photograph.objects.ready()
                .filter(instrument=recording.instrument_id)
                .select_related("view"),
                required=False,
                empty_label="A frame of the film itself",
                initial=recording.poster_id,
            )
        if recording.seconds is None:
            for name in ("chapters", "captions"):
                self.fields[name].disabled = True
                self.fields[name].help_text = "Once the recording is ready."

    def clean_captions(self) -> str:
        """As WebVTT; refused with the line that is wrong."""
        return self._vtt("captions", read_captions)

    def clean_chapters(self) -> str:
        """As WebVTT, also from lines with a time and a title; refused with the line that is wrong."""
        return self._vtt("chapters", read_chapters)

    def _vtt(self, name: str, reading: Callable[[str, int], list[Cue]]) -> str:
        typed = str(self.cleaned_data[name]).replace("\r\n", "\n").strip()
        if not typed:
            return ""
        if self.recording.seconds is None:
            return str(getattr(self.recording, name))
        try:
            cues = reading(typed, self.recording.milliseconds)
        except NotVtt as wrong:
            raise forms.ValidationError(wrong.message, code="not-vtt") from None
        return f"{typed}\n" if typed.startswith("WEBVTT") else written(cues)

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Change the recording; False when that is refused, with the reason among the form's errors."""
        try:
            change_recording(self.recording, self._values(), by=by, at=at, revision=revision)
        except Refused as refused:
            self.add_error(None, refused.message)
        return not self.errors

    def _values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.fields}


def chapters_as_typed(text: str, lasts: int) -> str:
    """Kept chapters as they stand in the field: lines where lines say the same, WebVTT otherwise."""
    if not text:
        return ""
    lines = as_lines(read(text), lasts)
    return text if lines is None else lines
