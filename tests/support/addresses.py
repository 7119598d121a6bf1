"""Every address of the site, read from the root urls, so that a new one joins by itself."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse


@dataclass(frozen=True)
class Address:
    """One route: its name, its path as written, its view, the names of its parts."""

    name: str
    route: str
    view: Callable[..., Any]
    parts: tuple[str, ...]

    @property
    def guard(self) -> str:
        """`owner`, `desk`, or nothing for a public page."""
        return getattr(self.view, "guard", "")

    def path(self, samples: dict[str, Any]) -> str:
        """The address with each part filled from `samples`; a part nobody has a sample for fails the test."""
        for part in self.parts:
            assert f"{self.name}:{part}" in samples or part in samples, (
                f"{self.route} has a part “{part}” without a sample; add one in tests/test_wall.py"
            )
        return reverse(
            self.name,
            kwargs={part: samples.get(f"{self.name}:{part}", samples.get(part)) for part in self.parts},
        )


def all_addresses() -> list[Address]:
    """Every route of the site."""
    return list(_below(get_resolver().url_patterns, ""))


def _below(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[Address]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _below(pattern.url_patterns, route)
        else:
            yield Address(pattern.name or "", route, pattern.callback, tuple(pattern.pattern.converters))
