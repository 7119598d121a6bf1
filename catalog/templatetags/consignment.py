"""A caution where a piece is published, held or sold after the agreement on which it is here has run out."""

from django import template
from django.utils import timezone

from catalog.instruments.models import Instrument
from catalog.pricing.queries import run_out_since

register = template.Library()


@register.inclusion_tag("blocks/_run_out.html")
def consignment_caution(instrument: Instrument) -> dict[str, object]:
    """The day on which it ran out; nothing for our own piece, for a sold one, and while an agreement runs.

    It names neither the consignor nor an amount, since helpers read it too.
    """
    return {"ran_out": run_out_since(instrument, timezone.localdate())}
