"""The kinds that the shop opens with, from catalog/instruments/sheets.json. The owner can change them."""

import json
from pathlib import Path
from typing import Any

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

SHEETS = Path(__file__).resolve().parent.parent / "instruments" / "sheets.json"


def add_kinds(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    sheets = json.loads(SHEETS.read_text(encoding="utf-8"))
    for position, sheet in enumerate(sheets["kinds"] if isinstance(sheets, dict) else sheets):
        kind = apps.get_model("catalog", "Kind").objects.create(
            slug=sheet["slug"], name=sheet["name"], plural=sheet["plural"], position=position
        )
        for model, rows in (
            ("Configuration", sheet["configurations"]),
            ("Measure", sheet["measures"]),
            ("View", sheet["views"]),
        ):
            for place, row in enumerate(rows):
                apps.get_model("catalog", model).objects.create(kind=kind, position=place, **row)
        add_parts(apps, kind, sheet["parts"])


def add_parts(apps: StateApps, kind: Any, rows: list[dict[str, Any]]) -> None:
    parts: dict[str, Any] = {}
    for place, row in enumerate(rows):
        parts[row["slug"]] = apps.get_model("catalog", "Part").objects.create(
            kind=kind,
            position=place,
            slug=row["slug"],
            name=row["name"],
            parent=parts.get(row.get("parent") or ""),
        )


class Migration(migrations.Migration):
    dependencies = [("catalog", "0002_costs_are_fixed")]

    operations = [migrations.RunPython(add_kinds, migrations.RunPython.noop)]
