"""The guide names every room and every word."""

import inspect
import re
from pathlib import Path

import pytest
from django.apps import apps
from django.db import models

import inquiries.sales.rules as sales_rules
from catalog.instruments.availability import Availability

ROOT = Path(__file__).resolve().parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
APPS = ("shop", "catalog", "inquiries")


def rooms() -> list[str]:
    """Every package inside an app, and the app itself."""
    found = [
        str(init.parent.relative_to(ROOT))
        for app in APPS
        for init in (ROOT / app).glob("*/__init__.py")
        if init.parent.name != "migrations"
    ]
    return sorted(found)


def words() -> list[str]:
    """Every name of a model, a state, a stage."""
    found = {str(word) for word in [*sales_rules.Stage, *Availability]}
    for app in APPS:
        for model in apps.get_app_config(app).get_models():
            found.add(str(model._meta.verbose_name))
            for _, choices in inspect.getmembers(model, inspect.isclass):
                if issubclass(choices, models.TextChoices):
                    found |= set(choices.labels)
    return sorted(found)


@pytest.mark.parametrize("room", rooms())
def test_the_guide_names_every_room(room: str) -> None:
    assert f"`{room}`" in GUIDE


@pytest.mark.parametrize("word", words())
def test_the_glossary_names_every_word(word: str) -> None:
    glossary = " ".join(GUIDE.partition("## Glossary")[2].split())
    assert word.lower() in glossary.lower()


def test_rules_are_pure() -> None:
    """No ORM, no clock, no request in a rules.py."""
    for file in (path for app in APPS for path in (ROOT / app).rglob("rules.py")):
        text = file.read_text(encoding="utf-8")
        for forbidden in ("django", ".objects", "now(", "today("):
            assert forbidden not in text, f"{file.relative_to(ROOT)} has {forbidden}"


def test_imports_run_one_way() -> None:
    """shop ← catalog ← inquiries; only the root urls and settings, and the demo, look up the street."""
    above = {"shop": ("catalog", "inquiries"), "catalog": ("inquiries",)}
    wiring = {"shop/urls.py", "shop/settings.py"}
    for app, forbidden in above.items():
        for file in (ROOT / app).rglob("*.py"):
            if str(file.relative_to(ROOT)) in wiring:
                continue
            text = file.read_text(encoding="utf-8")
            for other in forbidden:
                for line in text.splitlines():
                    assert not line.strip().startswith((f"from {other}", f"import {other}")), file


def test_the_readme_names_every_variable_that_the_settings_read() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    settings = (ROOT / "shop" / "settings.py").read_text(encoding="utf-8")
    read = set(re.findall(r"environment\.\w+\(\s*\"(\w+)\"", settings))
    assert {"SHOP_SECRET_KEY", "DATABASE_URL"} <= read
    assert [name for name in sorted(read) if f"`{name}`" not in readme] == []
