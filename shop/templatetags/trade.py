"""How the trade writes things: money, dates, measures. Loaded in every template."""

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone

from shop.money import Money

register = template.Library()


@register.filter
def money(amount: Decimal | None, currency: str = "USD") -> str:
    """$12,500 — nothing for no amount."""
    return "" if amount is None else str(Money(Decimal(amount), currency))


@register.filter
def day(instant: datetime | None) -> str:
    """25 November 2026, in the shop's zone."""
    return _local(instant, "%-d %B %Y")


@register.filter
def moment(instant: datetime | None) -> str:
    """Wed 25 Nov 2026, 4:05 pm, in the shop's zone."""
    return _local(instant, "%a %-d %b %Y, %-I:%M %p").replace("AM", "am").replace("PM", "pm")


def _local(instant: datetime | None, pattern: str) -> str:
    return timezone.localtime(instant).strftime(pattern) if instant else ""
