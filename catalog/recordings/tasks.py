"""The worker's part in sound and film."""

from datetime import datetime

from catalog.instruments.actions import touch
from catalog.recordings.intake import recording_path
from catalog.recordings.media import Damaged, Made, make, played_path
from catalog.recordings.models import Recording
from shop.jobs.actions import Finish, Task, task

SETTLED = (Recording.State.REFUSED, Recording.State.OFF)


@task
def prepare(recording: int) -> Finish | None:
    """Make all that is served of one recording; what cannot be played to its end is refused by its name."""
    row = Recording.objects.select_related("instrument").filter(pk=recording).first()
    if row is None or row.state in SETTLED:
        return None
    if row.state == Recording.State.READY and played_path(row.token, row.played_suffix).exists():
        return None
    try:
        made = make(recording_path(row.sha256, row.suffix), row.token, row.played_suffix)
    except Damaged:
        return lambda at: _refuse(row)
    return lambda at: _ready(row, made, at=at)


def order(recording: Recording, *, at: datetime) -> None:
    """Hand one recording to the worker; ordered twice, it is one job."""
    work: Task = prepare
    work.enqueue(at=at, key=f"recording-{recording.pk}", recording=recording.pk)


def _ready(row: Recording, made: Made, *, at: datetime) -> None:
    Recording.objects.filter(pk=row.pk, state__in=[Recording.State.WAITING, Recording.State.READY]).update(
        state=Recording.State.READY,
        seconds=made.seconds,
        peaks=made.peaks,
        width=made.width,
        height=made.height,
    )
    touch(row.instrument, at=at)


def _refuse(row: Recording) -> None:
    Recording.objects.filter(pk=row.pk, state=Recording.State.WAITING).update(
        state=Recording.State.REFUSED,
        refusal=f"{row.original_name} is cut short or damaged and cannot be played. Copy it again from where it came.",
    )
