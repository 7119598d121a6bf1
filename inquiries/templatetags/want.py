"""The form that remembers a wish, for pages that know nothing of inquiries."""

from typing import Any

from django import template
from django.utils import timezone

from inquiries.wants.forms import WantForm
from inquiries.threads.forms import begun

register = template.Library()


@register.inclusion_tag("public/_want_form.html")
def want_form(sought: str, narrowing: str) -> dict[str, Any]:
    """A form that begins with what was looked for, in words and as it stood in the address."""
    return {"form": WantForm(at=begun(timezone.now()), sought=sought, narrowing=narrowing)}
