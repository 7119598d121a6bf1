"""What the shop stands behind on one instrument, and what it does not."""

from typing import Any

from catalog.claims.queries import examined
from catalog.claims.rules import guarantee_exceptions


def guarantee_leaves_out(instrument: Any) -> list[str]:
    """The exceptions to the shop's guarantee, a sentence each, of a record that came through `pages`."""
    return guarantee_exceptions(examined(instrument))
