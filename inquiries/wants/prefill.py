"""What a wish states, read off the choices that were made in the catalogue."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict

from catalog.instruments.addresses import maker_places
from catalog.models import Configuration, Kind, Maker
from catalog.originality.rules import Word

MOST = Decimal(10) ** 10


def stated_by(narrowing: str) -> dict[str, Any]:
    """The fields of a wish that follow from an address of the catalogue; what cannot be read is left open."""
    chosen = QueryDict(narrowing.replace("%00", ""))
    found: dict[str, Any] = {
        "kind": Kind.objects.filter(slug=chosen.get("kind", "")).first() if chosen.get("kind") else None,
        "maker": _maker(chosen.get("maker", "")),
        "configuration": _configuration(chosen.get("configuration") or chosen.get("made_as") or ""),
        "word_at_least": chosen.get("originality", "") if chosen.get("originality") in set(Word) else "",
        "price_up_to": _amount(chosen.get("price_to", "")),
        **_decade(chosen.get("decade", "")),
    }
    kind, configuration = found["kind"], found["configuration"]
    if configuration and not kind:
        found["kind"] = configuration.kind
    elif configuration and configuration.kind_id != kind.pk:
        found["configuration"] = None
    return {name: value for name, value in found.items() if value not in (None, "")}


def _maker(slug: str) -> Maker | None:
    """A maker by the end of their address, now or formerly; only one that the public may know of."""
    if not slug:
        return None
    places = maker_places()
    keys = [key for key, known in places.slugs.items() if known == slug]
    if not keys and slug in places.former:
        keys = [places.former[slug]]
    return public_makers().filter(pk__in=keys).first()


def public_makers() -> "QuerySet[Maker]":
    """Makers of whom something is or was for sale here: a name that drafts alone bear would tell what was bought."""
    return Maker.objects.filter(instruments__state__in=["listed", "sold"]).distinct().order_by("name")


def _configuration(value: str) -> Configuration | None:
    kind, _dot, slug = value.partition(".")
    found = Configuration.objects.select_related("kind").filter(kind__slug=kind, slug=slug)
    return found.first() if slug else None


def _amount(typed: str) -> Decimal | None:
    try:
        amount = Decimal(typed)
    except InvalidOperation:
        return None
    if not amount.is_finite() or not 0 <= amount < MOST:
        return None
    return amount.quantize(Decimal("0.01"))


def _decade(typed: str) -> dict[str, int]:
    if len(typed) != len("1920") or not typed.isascii() or not typed.isdecimal():
        return {}
    first = int(typed) // 10 * 10
    return {"made_from": first, "made_to": first + 9}
