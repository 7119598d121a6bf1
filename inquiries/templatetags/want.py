"""The form that remembers a wish, for pages that know nothing of inquiries."""

from typing import Any

from django import template
from django.utils import timezone

from inquiries.threads.forms import begun
from inquiries.wants.forms import WantForm
from shop.profile.queries import the_shop

register = template.Library()


@register.inclusion_tag("public/_want_form.html")
def want_form(sought: str, narrowing: str) -> dict[str, Any]:
    """A short form that begins with what was looked for, in words and as it stood in the address."""
    at = timezone.now()
    form = WantForm(
        at=begun(at),
        today=timezone.localdate(at),
        currency=the_shop().currency,
        sought=sought,
        narrowing=narrowing,
    )
    return {"form": form, "narrowing": narrowing}
