"""What may be said of a photograph."""

from django import forms
from django.http import QueryDict

from catalog.instruments.models import View
from catalog.pictures.models import Photograph


class PhotographForm(forms.Form):
    """Caption, and which view of the kind's sheet it shows."""

    view = forms.ModelChoiceField(
        queryset=View.objects.none(), required=False, label="Shows", empty_label="No view of the sheet"
    )
    caption = forms.CharField(max_length=200, required=False)

    def __init__(self, photograph: Photograph, data: QueryDict | None, views: list[View]) -> None:
        self.photograph = photograph
        super().__init__(
            data,
            initial={"caption": photograph.caption, "view": photograph.view_id},
            auto_id=f"id_{photograph.token}_%s",
        )
        field = self.fields["view"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - declared above
        field.queryset = View.objects.filter(kind=photograph.instrument.kind_id)
        # The same few views stand beside every photograph: ask the database for them once a page.
        field.choices = [("", "No view of the sheet"), *((view.pk, view.name) for view in views)]
