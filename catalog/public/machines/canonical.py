"""The one address of a page: without parameters that the page does not know, in a settled order."""

from collections.abc import Mapping
from urllib.parse import urlencode

from catalog.public.forms import CatalogueFilter

# What each page knows besides its path; a page that is not named knows nothing.
KNOWN: Mapping[str, tuple[str, ...]] = {
    "catalogue": (*CatalogueFilter.base_fields, "page"),
    "sold": ("maker", "page"),
    "model-page": ("page",),
}


def canonical_path(path: str, name: str, chosen: Mapping[str, str]) -> str:
    """The path of the page called `name`, with those of the chosen parameters that it knows and that say something."""
    kept = [(key, chosen[key]) for key in KNOWN.get(name, ()) if chosen.get(key)]
    kept = [pair for pair in kept if pair != ("page", "1")]
    return f"{path}?{urlencode(kept)}" if kept else path
