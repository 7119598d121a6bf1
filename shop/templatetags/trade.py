"""How the trade writes things: money, dates, measures, names in a row, the dealer's own words. Loaded everywhere.

A page may be in another language than the dealer's texts (titles, stories, notes, terms, names of rows that were
typed). Such a text is never translated; the element around it says its language, so that it is read aloud rightly:

    <p class="lede"{% own_lang %}>{{ listing.story }}</p>       where an element is there already
    {% translate "Note" %}: {{ row.note|own_words }}            where the text stands in the middle of other words

Both add nothing on an English page.
"""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from shop import wording
from shop.money import Money

register = template.Library()


@register.filter
def money(amount: Decimal | None, currency: str = "USD") -> str:
    """$12,500 — nothing for no amount."""
    return "" if amount is None else str(Money(Decimal(amount), currency))


@register.filter
def day(instant: datetime | None) -> str:
    """25 November 2026, in the shop's zone."""
    return wording.day_of(timezone.localtime(instant).date()) if instant else ""


@register.filter
def moment(instant: datetime | None) -> str:
    """Wed 25 Nov 2026, 4:05 pm, in the shop's zone."""
    return wording.moment_of(timezone.localtime(instant)) if instant else ""


@register.filter
def own_words(text: str) -> SafeString:
    """The dealer's own text among other words, in a `span` that says its language where the page is in another."""
    shown = conditional_escape(text)
    return (
        shown
        if wording.is_own() or not shown
        else format_html('<span lang="{}">{}</span>', wording.OWN, shown)
    )


@register.simple_tag
def own_lang() -> SafeString:
    """The attribute for an element that holds the dealer's own text alone; nothing on a page in English.

    It brings its own space: `<p{% own_lang %}>`.
    """
    return mark_safe("" if wording.is_own() else f' lang="{wording.OWN}"')


@register.filter
def own_paragraphs(paragraphs: SafeString) -> SafeString:
    """The dealer's own paragraphs among others: what `linebreaks` made of a text, each saying its language."""
    return (
        paragraphs if wording.is_own() else mark_safe(paragraphs.replace("<p>", f'<p lang="{wording.OWN}">'))
    )


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


register.filter("inside", wording.inside)


@register.filter
def quoted(words: Iterable[str]) -> str:
    """Words in one line, each between quotation marks: “rim” and “neck”."""
    return wording.joined(wording.gettext("“%(word)s”") % {"word": word} for word in words)


@register.filter
def linked(places: Iterable[tuple[str, str]]) -> SafeString:
    """Words that lead somewhere, in one line: pairs of a word and its address."""
    links = (format_html('<a href="{}">{}</a>', address, word) for word, address in places)
    return mark_safe(wording.joined(links))  # each link is escaped above
