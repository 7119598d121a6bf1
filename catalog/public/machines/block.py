"""Values for programs inside a page: a block of data, which no browser runs."""

import json
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

# Within the block nothing may end it or begin a comment. Source: HTML Living Standard, section 4.12.1.3.
ESCAPES = {ord("<"): "\\u003C", ord(">"): "\\u003E", ord("&"): "\\u0026"}


def data_block(values: Any) -> SafeString:
    """Linked data as it stands in a page."""
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":")).translate(ESCAPES)
    return format_html('<script type="application/ld+json">{}</script>', mark_safe(text))
