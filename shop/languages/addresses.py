"""The language of a page stands in its address, and nowhere else: “/de/makers/” is “/makers/” in German.

The first language of the settings has no mark of its own, so its addresses are as short as they ever were. Neither a
cookie nor what a browser says it likes is looked at: one address is one page, for everybody.
"""

import re

from django.conf import settings
from django.urls import Resolver404, get_script_prefix, resolve
from django.utils import translation


def language_of(path: str) -> str:
    """The language that an address (below the root of the site) asks for."""
    found = re.match(r"/([a-z]{2})(?:/|$)", path)
    return found[1] if found and found[1] in marked() else settings.LANGUAGE_CODE


def marked() -> list[str]:
    """The languages that stand in the address."""
    return [code for code, _ in settings.LANGUAGES if code != settings.LANGUAGE_CODE]


def in_language(path: str, code: str) -> str:
    """The address of the same public page in another language; it need not be one that leads anywhere."""
    root = get_script_prefix()
    below = "/" + path.removeprefix(root)
    before = language_of(below)
    if before != settings.LANGUAGE_CODE:
        below = below.removeprefix(f"/{before}") or "/"
    mark = "" if code == settings.LANGUAGE_CODE else f"{code}/"
    return f"{root}{mark}{below[1:]}"


def in_every_language(path: str) -> list[tuple[str, str]]:
    """Each language with the address of this page in it; none for an address that has no page in more than one."""
    found = [(code, in_language(path, code)) for code, _ in settings.LANGUAGES]
    return found if all(_leads_somewhere(*one) for one in found) else []


def _leads_somewhere(code: str, path: str) -> bool:
    with translation.override(code):
        try:
            resolve("/" + path.removeprefix(get_script_prefix()))
        except Resolver404:
            return False
    return True
