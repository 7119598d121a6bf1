"""The checks there are: each a function that yields what it finds wrong at an instant, and changes nothing."""

from collections.abc import Callable, Iterator
from datetime import datetime

from inquiries.audit.rules import Finding

Check = Callable[[datetime], Iterator[Finding]]
CHECKS: dict[str, Check] = {}


def check(name: str) -> Callable[[Check], Check]:
    """Decorator: the audit makes this check, and speaks of it by `name`."""

    def note(made: Check) -> Check:
        CHECKS[name] = made
        return made

    return note
