"""The worker's part in mail: prints of the pictures that came with it."""

from datetime import datetime

from catalog.pictures.prints import make_prints
from inquiries.mail.keeping import file_path
from inquiries.mail.models import Attachment
from shop.jobs.actions import Finish, task

Prints = Attachment.Prints


@task
def prepare_picture(attachment: int) -> Finish | None:
    """Make the prints of one picture; what cannot be decoded is refused, and stays to be downloaded."""
    row = Attachment.objects.filter(pk=attachment, prints=Prints.WAITING).first()
    if row is None:
        return None
    try:
        make_prints(file_path(row.sha256), row.token)
    except FileNotFoundError:
        raise
    except (OSError, ValueError, SyntaxError, Warning):
        return lambda at: _say(row, Prints.REFUSED, at=at)
    return lambda at: _say(row, Prints.READY, at=at)


def _say(row: Attachment, state: str, *, at: datetime) -> None:
    Attachment.objects.filter(pk=row.pk).update(prints=state)
