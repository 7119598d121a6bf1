"""What helps to answer in the invented shop: two saved phrases, and full-size pictures given to one who asks."""

from datetime import datetime

from catalog.models import Photograph
from demo_fixtures.clock import Clock
from inquiries.answering.actions import USUAL_DAYS, keep_phrase, make_link
from inquiries.models import Inquiry
from shop.models import User

PHRASES = (
    (
        "First answer",
        "Dear {name},\n\nthank you for asking about the {piece}, our no. {stock}. It is {availability}; the price is "
        "{price}. You may try it for {approval} from the day it reaches you.\n\n{owner}\n{shop}, {telephone}",
    ),
    (
        "A hold",
        "I put the {piece} aside for you for {hold}. The usual deposit on it is {deposit}; a word by mail or "
        "telephone is enough to let it go again.",
    ),
)
PICTURES = 4


def load_answering(*, owner: User, clock: Clock) -> None:
    """The phrases in use for long, the pictures given today."""
    for title, text in PHRASES:
        keep_phrase(None, title, text, by=owner, at=clock.at(200))
    _give_pictures(owner, clock.now)


def _give_pictures(owner: User, at: datetime) -> None:
    """To whoever asked last about a piece that has pictures enough."""
    for inquiry in Inquiry.objects.filter(done_at__isnull=True, instrument__isnull=False)[:20]:
        shots = list(Photograph.objects.filter(instrument=inquiry.instrument).ready()[:PICTURES])
        if len(shots) == PICTURES:
            make_link(inquiry, shots, USUAL_DAYS, entry="the invented shop", by=owner, at=at)
            return
