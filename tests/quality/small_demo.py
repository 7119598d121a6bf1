"""`python -m tests.quality.small_demo`: load the invented shop, drawing only some of its pictures.

Pieces of one kind share the prints of its first piece, view by view. Everything else is the demo.
"""

import shutil
from collections.abc import Iterator

import django

django.setup()

from django.core.management import call_command  # noqa: E402 - the settings come first

from catalog.pictures.prints import SUFFIXES, print_path  # noqa: E402
from demo_fixtures import photographs  # noqa: E402
from demo_fixtures.plates import Drawn, Wanted, draw_all  # noqa: E402


def draw_some(wanted: list[Wanted]) -> Iterator[Drawn]:
    """Draw each view of each kind once, and lend its prints to the others."""
    first = {alike(one): one for one in reversed(wanted)}
    drawn = dict(zip(first, draw_all(list(first.values())), strict=True))
    for one in wanted:
        model = drawn[alike(one)]
        if model.token != one.token:
            lend(model, one.token)
        yield Drawn(one.token, model.original, model.prints)


def alike(one: Wanted) -> tuple[str, str]:
    """What two photographs must have in common to look alike."""
    return str(one.plate["kind"]), one.view


def lend(model: Drawn, token: str) -> None:
    """The prints of `model` under another token."""
    for width in model.prints.widths:
        for suffix in SUFFIXES:
            place = print_path(token, width, suffix)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(print_path(model.token, width, suffix), place)


if __name__ == "__main__":
    photographs.draw_all = draw_some
    call_command("demo", load_only=True)
