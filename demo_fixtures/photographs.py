"""The invented photographs, entered as the worker leaves them: kept, printed, ready."""

from collections.abc import Callable
from typing import Any

from catalog.instruments.models import Instrument
from catalog.pictures.models import Photograph, new_token
from demo_fixtures.clock import Clock
from demo_fixtures.plates import Drawn, Wanted, draw_all, plate_of
from shop.models import User

Row = dict[str, Any]


def load_pictures(
    opened: list[tuple[Row, Instrument]], *, owner: User, clock: Clock, say: Callable[[str], object]
) -> None:
    """Draw every picture of every instrument, and enter it."""
    asked = [(row, instrument, place) for row, instrument in opened for place in range(len(row["pictures"]))]
    wanted = [
        Wanted(instrument.stock_id, plate_of(row), row["pictures"][place]["view"], new_token())
        for row, instrument, place in asked
    ]
    for number, ((row, instrument, place), drawn) in enumerate(
        zip(asked, draw_all(wanted), strict=True), start=1
    ):
        _add_picture(row, instrument, place, drawn, owner, clock)
        if number % 40 == 0 or number == len(wanted):
            say(f"{number} of {len(wanted)} pictures drawn and prepared …")


def _add_picture(
    row: Row, instrument: Instrument, place: int, drawn: Drawn, owner: User, clock: Clock
) -> None:
    picture = row["pictures"][place]
    listed = row.get("listed_days_ago")
    Photograph.objects.create(
        instrument=instrument,
        token=drawn.token,
        original_name=f"{instrument.stock_id}-{picture['view']}.jpg",
        sha256=drawn.original.sha256,
        suffix=drawn.original.suffix,
        bytes=drawn.original.bytes,
        state=Photograph.State.READY,
        width=drawn.prints.width,
        height=drawn.prints.height,
        widths=drawn.prints.widths,
        view=instrument.kind.views.filter(slug=picture["view"]).first(),
        caption=picture.get("caption", ""),
        position=place,
        lead=place == 0,
        received_by=owner,
        received_at=clock.at(listed + 1 if listed is not None else row["acquired"]["days_ago"] - 1, 15),
    )
