"""The worker's part in photographs."""

from datetime import datetime

from catalog.instruments.actions import touch
from catalog.pictures.intake import original_path
from catalog.pictures.models import Photograph
from catalog.pictures.prints import (
    Prints,
    detail_path,
    has_detail,
    make_detail,
    make_prints,
    make_whole,
    whole_path,
)
from shop.jobs.actions import Finish, task


@task
def prepare(photograph: int) -> Finish | None:
    """Make the prints of one photograph; a picture that cannot be decoded is refused by its name."""
    row = Photograph.objects.select_related("instrument").filter(pk=photograph).first()
    if row is None or row.state == Photograph.State.READY:
        return None
    original = original_path(row.sha256, row.suffix)
    try:
        prints = make_prints(original, row.token)
    except FileNotFoundError:
        raise
    except (OSError, ValueError, SyntaxError):
        return lambda at: _refuse(row)
    return lambda at: _ready(row, prints, at=at)


@task
def look_closer(photograph: int) -> Finish | None:
    """Make the detail of one photograph, if it is still there and has one."""
    row = Photograph.objects.filter(pk=photograph, state=Photograph.State.READY).first()
    if row is None or detail_path(row.token).exists():
        return None
    original = original_path(row.sha256, row.suffix)
    if has_detail(original):
        make_detail(original, row.token)
    return None


@task
def print_whole(photograph: int) -> Finish | None:
    """Make the whole photograph as a print, if it is still there and has none yet."""
    row = Photograph.objects.filter(pk=photograph, state=Photograph.State.READY).first()
    if row is not None and not whole_path(row.token).exists():
        make_whole(original_path(row.sha256, row.suffix), row.token)
    return None


def _ready(row: Photograph, prints: Prints, *, at: datetime) -> None:
    Photograph.objects.filter(pk=row.pk).update(
        state=Photograph.State.READY, width=prints.width, height=prints.height, widths=prints.widths
    )
    touch(row.instrument, at=at)


def _refuse(row: Photograph) -> None:
    Photograph.objects.filter(pk=row.pk).update(
        state=Photograph.State.REFUSED,
        refusal=f"{row.original_name} is damaged and cannot be shown. Copy it from the camera again.",
    )
