"""The price index that the shop opens with: catalog/pricing/data/cpi_u_annual.csv. The owner can load others."""

import csv
from decimal import Decimal
from pathlib import Path

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps
from django.utils import timezone

FIGURES = Path(__file__).resolve().parent.parent / "pricing" / "data" / "cpi_u_annual.csv"
NAME = "US consumer prices (CPI-U)"
SOURCE = (
    "US Bureau of Labor Statistics, CPI-U, U.S. city average, all items, not seasonally adjusted, "
    "annual averages (series CUUR0000SA0), 1982–84 = 100"
)


def add_index(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    index = apps.get_model("catalog", "PriceIndex").objects.create(
        name=NAME, currency="USD", source=SOURCE, loaded_at=timezone.now()
    )
    lines = (line for line in FIGURES.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    apps.get_model("catalog", "IndexYear").objects.bulk_create(
        apps.get_model("catalog", "IndexYear")(
            index=index, year=int(row["year"]), value=Decimal(row["cpi_u"])
        )
        for row in csv.DictReader(lines)
    )


class Migration(migrations.Migration):
    dependencies = [("catalog", "0006_roles_and_read_dates")]

    operations = [migrations.RunPython(add_index, migrations.RunPython.noop)]
