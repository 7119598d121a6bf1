"""Numbers, hashes and file names of papers, from values alone."""

import hashlib
import json
import re
from typing import Any

# The letter of each kind's numbers.
LETTERS = {
    "quotation": "Q",
    "invoice": "I",
    "plan": "P",
    "bill": "B",
    "packing": "L",
    "customs": "C",
    "statement": "S",
    "return": "N",
    "receipt": "R",
}


def series_of(kind: str, year: int) -> str:
    """The name of the numbers of a kind and a year."""
    return f"{kind} {year}"


def number_of(kind: str, year: int, place: int) -> str:
    """“I2026-0001”."""
    return f"{LETTERS[kind]}{year}-{place:04}"


def canonical(content: Any) -> str:
    """The one way to write a content down, whatever order a database gives its keys back in.

    Keys in order, nothing between the signs, every letter as itself. Close to RFC 8785; a content holds texts, lists
    and whole numbers only, so its rules for fractions are not needed.
    """
    return json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def digest(content: Any) -> str:
    """SHA-256 of the content, in hexadecimal."""
    return hashlib.sha256(canonical(content).encode()).hexdigest()


def file_name(number: str, version: int, sha256: str) -> str:
    """The name of a paper's file: its number, its version, and the beginning of the hash of what stands on it."""
    slug = re.sub(r"[^a-z0-9]+", "-", number.lower()).strip("-")
    return f"{slug}{f'-v{version}' if version > 1 else ''}-{sha256[:16]}.pdf"


def template_of(kind: str, content: Any) -> str:
    """The template that sets a content; receipts had another shape once, which names a buyer by itself."""
    return "receipt-before" if kind == "receipt" and "buyer" in content else kind


def replaces(kind: str, number: str, version: int, day: str, reason: str) -> str:
    """What a new version says of the one that it takes the place of."""
    ended = reason if reason.endswith((".", "!", "?", "…")) else f"{reason}."
    return f"Replaces version {version} of {kind.lower()} {number}, of {day}, because: {ended}"
