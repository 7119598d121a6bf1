"""The sentences on one part, each of them whole, so that another language may turn it round.

English says “is” of one part and “are” of several; a part that was replaced may have its original lying by, and then
it may be known where.
"""

from typing import Final, NamedTuple

from shop.wording import gettext_lazy as _

PERIOD, LATER, REPRODUCTION, MISSING = "period", "later", "reproduction", "missing"


class Says(NamedTuple):
    """What is said of one part, or of several by one name."""

    one: object
    many: object

    def of(self, many: bool) -> str:
        """The sentence for the number of the part's name."""
        return str(self.many if many else self.one)


UNKNOWN: Final = Says(
    _("Whether the %(part)s is original is not known."),
    _("Whether the %(part)s are original is not known."),
)
REFINISHED: Final = Says(
    _("The %(part)s has been refinished or re-plated."),
    _("The %(part)s have been refinished or re-plated."),
)
ALONE: Final = {
    PERIOD: Says(
        _("The %(part)s is a period-correct replacement."),
        _("The %(part)s are period-correct replacements."),
    ),
    LATER: Says(
        _("The %(part)s is a later replacement."),
        _("The %(part)s are later replacements."),
    ),
    REPRODUCTION: Says(
        _("The %(part)s is a reproduction."),
        _("The %(part)s are reproductions."),
    ),
    MISSING: Says(
        _("The %(part)s is missing."),
        _("The %(part)s are missing."),
    ),
}
# The original lies by.
KEPT: Final = {
    PERIOD: Says(
        _("The %(part)s is a period-correct replacement; the original comes with it."),
        _("The %(part)s are period-correct replacements; the originals come with it."),
    ),
    LATER: Says(
        _("The %(part)s is a later replacement; the original comes with it."),
        _("The %(part)s are later replacements; the originals come with it."),
    ),
    REPRODUCTION: Says(
        _("The %(part)s is a reproduction; the original comes with it."),
        _("The %(part)s are reproductions; the originals come with it."),
    ),
    MISSING: Says(
        _("The %(part)s is not on it; the original comes with it."),
        _("The %(part)s are not on it; the originals come with it."),
    ),
}
# The original lies by, and it is known where.
KEPT_THERE: Final = {
    PERIOD: Says(
        _("The %(part)s is a period-correct replacement; the original comes with it, %(where)s."),
        _("The %(part)s are period-correct replacements; the originals come with it, %(where)s."),
    ),
    LATER: Says(
        _("The %(part)s is a later replacement; the original comes with it, %(where)s."),
        _("The %(part)s are later replacements; the originals come with it, %(where)s."),
    ),
    REPRODUCTION: Says(
        _("The %(part)s is a reproduction; the original comes with it, %(where)s."),
        _("The %(part)s are reproductions; the originals come with it, %(where)s."),
    ),
    MISSING: Says(
        _("The %(part)s is not on it; the original comes with it, %(where)s."),
        _("The %(part)s are not on it; the originals come with it, %(where)s."),
    ),
}
