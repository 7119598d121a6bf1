"""What the desk asks of a record's sound and film."""

from typing import Any

from catalog.recordings.models import Recording
from catalog.recordings.rules import spread
from catalog.recordings.vtt import Cue, written
from catalog.speaking.queries import sheet_of
from shop.profile.models import ShopProfile


def chapters_from_sheet(recording: Recording, instrument: Any, shop: ShopProfile) -> str:
    """First chapters as WebVTT: the lines of the speaker's sheet, spread evenly for the dealer to correct.

    "" when the sheet has nothing to read. `instrument` came through catalog.public.queries.pages.
    """
    read = [
        spoken.line.label for spoken in sheet_of(instrument, shop) if spoken.words and not spoken.left_out
    ]
    cues = [Cue(begins, ends, title) for begins, ends, title in spread(read, recording.milliseconds)]
    return written(cues) if cues else ""
