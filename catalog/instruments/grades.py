"""What each grade of condition means. Wear is graded; originality and playability are told apart from it.

The words are this shop's own; grading by words of this kind is common practice, no source.
"""

from catalog.instruments.models import Instrument
from shop.wording import gettext_lazy as _

MEANING = {
    "mint": _("As it left the maker, without a trace of use."),
    "near-mint": _("Hardly played; what traces there are must be looked for."),
    "excellent-plus": _("Played with great care; a few small marks and nothing more."),
    "excellent": _("Light, even wear from careful playing."),
    "excellent-minus": _("Light wear, with a few marks that the eye finds at once."),
    "very-good": _("Honest wear all over; sound, with nothing that troubles."),
    "good": _("Much played: marks, wear through the finish, repairs that hold."),
    "fair": _("Hard use or plain repairs; it plays, or would with some work."),
    "poor": _("Heavy wear or damage; it needs work before it can be played."),
    "project": _("Incomplete or broken, worth the work of putting it right."),
    "relic": _("Kept for what it is; playing it again is not to be expected."),
}


def scale() -> list[tuple[str, str]]:
    """The whole scale, best first: (grade, meaning)."""
    return [(str(grade.label), str(MEANING[grade.value])) for grade in Instrument.Grade]
