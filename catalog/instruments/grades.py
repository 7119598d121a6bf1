"""What each grade of condition means. Wear is graded; originality and playability are told apart from it.

The words are this shop's own; grading by words of this kind is common practice, no source.
"""

from catalog.instruments.models import Instrument

MEANING = {
    "mint": "As it left the maker, without a trace of use.",
    "near-mint": "Hardly played; what traces there are must be looked for.",
    "excellent-plus": "Played with great care; a few small marks and nothing more.",
    "excellent": "Light, even wear from careful playing.",
    "excellent-minus": "Light wear, with a few marks that the eye finds at once.",
    "very-good": "Honest wear all over; sound, with nothing that troubles.",
    "good": "Much played: marks, wear through the finish, repairs that hold.",
    "fair": "Hard use or plain repairs; it plays, or would with some work.",
    "poor": "Heavy wear or damage; it needs work before it can be played.",
    "project": "Incomplete or broken, worth the work of putting it right.",
    "relic": "Kept for what it is; playing it again is not to be expected.",
}


def scale() -> list[tuple[str, str]]:
    """The whole scale, best first: (grade, meaning)."""
    return [(grade.label, MEANING[grade.value]) for grade in Instrument.Grade]
