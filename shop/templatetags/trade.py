"""How the trade writes things: money, dates, measures. Loaded in every template."""

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

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


LONGEST_HEADING = 4  # words


@register.filter
def run_in(text: str) -> SafeString:
    """Paragraphs whose first sentence, if it is a few words long, stands out as a heading in the line."""
    paragraphs = [part.strip() for part in text.replace("\r", "").split("\n\n")]
    return format_html_join("\n", "<p>{}</p>", ((_headed(part),) for part in paragraphs if part))


def _headed(paragraph: str) -> str:
    heading, stop, rest = paragraph.partition(". ")
    if not stop or len(heading.split()) > LONGEST_HEADING:
        return paragraph
    return format_html("<b>{}.</b> {}", heading, rest)


def _local(instant: datetime | None, pattern: str) -> str:
    return timezone.localtime(instant).strftime(pattern) if instant else ""
