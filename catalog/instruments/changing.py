"""Who is told when something that a record shows has changed, inside the deed that changes it.

Whatever is drawn from the record and kept (the shelf of the catalogue) registers here at start. A deed calls `tell_of`
once, after its last change: catalog/instruments/actions.py does it for everything that hangs from one record. Of
what many records share (a maker, a model's lists, a kind's sheet) the history tells: its deeds write their row of
history after the change, and that row is listened to.
"""

from collections.abc import Callable, Collection
from typing import Any

from django.db.models import QuerySet
from django.db.models.signals import post_save

from catalog.instruments.models import Instrument
from shop.history.models import Entry

# What many instruments share: the history's name for it, and the column that names it.
SHARED = ("maker", "model", "kind")

Listener = Callable[[Collection[int]], None]

_listeners: list[Listener] = []


def listen(listener: Listener) -> None:
    """Have `listener` called with the keys of the instruments that show something else now."""
    if listener not in _listeners:
        _listeners.append(listener)


def tell_of(*instruments: int) -> None:
    """These instruments show something else now; call it in the deed's transaction, after the change."""
    if instruments:
        for listener in _listeners:
            listener(instruments)


def tell_of_all(instruments: "QuerySet[Instrument]") -> None:
    """All of these show something else now: what they share has changed. Only those that are public matter."""
    tell_of(*instruments.filter(state__in=["listed", "sold"]).values_list("pk", flat=True))


def follow_the_history() -> None:
    """Tell of the instruments of a maker, a model or a kind whenever its history gets a row (called once, at start)."""
    post_save.connect(_of_shared, sender=Entry, dispatch_uid="changing")


def _of_shared(instance: Entry, **kwargs: Any) -> None:
    if instance.about in SHARED:
        tell_of_all(Instrument.objects.filter(**{instance.about: instance.about_id}))
