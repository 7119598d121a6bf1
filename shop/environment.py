"""Typed readers for the environment: a setting that makes no sense stops the start with a sentence."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def text(name: str, default: str = "") -> str:
    """The variable as text; `NAME_FILE` may point at a file that holds it instead (for secrets)."""
    file = os.environ.get(f"{name}_FILE")
    if file:
        return Path(file).read_text(encoding="utf-8").strip()
    return os.environ.get(name, default).strip()


def words(name: str, default: str = "") -> list[str]:
    """A comma-separated list."""
    return [word.strip() for word in text(name, default).split(",") if word.strip()]


def whole(name: str, default: int) -> int:
    """A whole number."""
    value = text(name, str(default))
    try:
        return int(value)
    except ValueError:
        raise ImproperlyConfigured(f"{name} must be a whole number, not “{value}”.") from None


def flag(name: str, default: bool = False) -> bool:
    """`yes` or `no`."""
    value = text(name, "yes" if default else "no").lower()
    if value not in {"yes", "no"}:
        raise ImproperlyConfigured(f"{name} must be yes or no, not “{value}”.")
    return value == "yes"


def choice(name: str, allowed: set[str], default: str) -> str:
    """One word of a closed set."""
    value = text(name, default)
    if value not in allowed:
        raise ImproperlyConfigured(f"{name} must be one of {', '.join(sorted(allowed))}, not “{value}”.")
    return value


def kept_secret(file: Path) -> str:
    """A random secret that is made once and kept in `file`, readable by its owner only (demo and tests)."""
    if not file.exists():
        file.parent.mkdir(parents=True, exist_ok=True)
        file.touch(mode=0o600)
        file.write_text(secrets.token_urlsafe(50), encoding="utf-8")
    return file.read_text(encoding="utf-8")
