"""Where on a listing a photograph stands, so that what rests on it can point there."""

from collections.abc import Iterable

from catalog.pictures.models import Photograph


def anchors(ready: Iterable[Photograph]) -> dict[int, str]:
    """The anchor of each ready photograph by its key, in the order of the page: “#picture-0” is the lead picture."""
    return {photograph.pk: f"#picture-{place}" for place, photograph in enumerate(ready)}
