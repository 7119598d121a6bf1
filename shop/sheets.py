"""Style sheets as they are served: each page's in one file, without notes and spare white space.

The sources stay one file to a block, with its markup in a note at the top. A sheet that gathers others says
`@import url("tokens.css");`, which a browser follows in a test; in service the imported file stands in its place.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders
from django.core.files.base import ContentFile
from django.core.files.storage import InMemoryStorage, Storage
from whitenoise.storage import CompressedManifestStaticFilesStorage

IMPORT = re.compile(r'@import url\("([\w-]+\.css)"\);')
NOTE = re.compile(r'("[^"]*")|/\*.*?\*/', re.S)
SPACE = re.compile(r'("[^"]*")|\s*([{};,>])\s*|(:)\s+|\s+')


def gathered(sheet: str, read: Callable[[str], str]) -> str:
    """`sheet` with every imported file in the place of its import; `read` gives a file by name."""
    return IMPORT.sub(lambda found: gathered(read(found[1]), read), sheet)


def shortened(sheet: str) -> str:
    """The same rules in fewer characters; what stands in quotes is left alone."""
    without_notes = NOTE.sub(lambda found: found[1] or " ", sheet)
    packed = SPACE.sub(lambda found: found[1] or found[2] or found[3] or " ", without_notes)
    return packed.replace(";}", "}").strip()


class ShopFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # whitenoise publishes no types
    """Static files with a hash in their names, packed beforehand; style sheets gathered and shortened first."""

    def post_process(
        self, paths: dict[str, tuple[Storage, str]], dry_run: bool = False, **options: Any
    ) -> Iterator[Any]:
        """Hash and pack every file, our style sheets as they are served."""
        ready = InMemoryStorage()
        served = dict(paths)
        for name in paths:
            if name.startswith("css/"):
                ready.save(name, ContentFile(shortened(gathered(_source(name), _beside)).encode()))
                served[name] = (ready, name)
        yield from super().post_process(served, dry_run=dry_run, **options)


def _beside(name: str) -> str:
    return _source(f"css/{name}")


def _source(name: str) -> str:
    return Path(str(finders.find(name))).read_text(encoding="utf-8")
