"""Who seeks a piece, for pages of the desk that know nothing of inquiries."""

from typing import Any

from django import template
from django.utils import timezone

from catalog.models import Instrument
from inquiries.wants.showing import shown_first_call

register = template.Library()


@register.inclusion_tag("desk/wants/_seekers.html")
def seekers(instrument: Instrument) -> dict[str, Any]:
    """Who seeks it, ranked with the reasons, and who was told of it first and what they said."""
    return {"instrument": instrument, **shown_first_call(instrument, at=timezone.now())}
