"""The ask form, for pages that know nothing of inquiries."""

from typing import Any

from django import template
from django.utils import timezone

from inquiries.threads.forms import AskForm, begun

register = template.Library()


@register.inclusion_tag("public/_ask_form.html")
def ask_form(stock: int, held: bool) -> dict[str, Any]:
    """An empty form for the instrument with this stock number; `held` changes its wording."""
    return {"form": AskForm.empty(stock, at=begun(timezone.now())), "stock": stock, "held": held}
