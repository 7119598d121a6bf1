"""What parts are made of; the list of materials that the shop opens with: catalog/materials/materials.json."""

import json
from pathlib import Path

import django.db.models.deletion
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

MATERIALS = Path(__file__).resolve().parent.parent / "materials" / "materials.json"


def add_materials(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    material = apps.get_model("catalog", "Material")
    rows = json.loads(MATERIALS.read_text(encoding="utf-8"))
    material.objects.bulk_create(material(**row) for row in rows)


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0011_the_shelf"),
    ]

    operations = [
        migrations.CreateModel(
            name="Material",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80)),
                (
                    "species",
                    models.CharField(
                        blank=True,
                        help_text="Several with commas between when it can be any of them. A genus alone stands for all its species.",
                        max_length=300,
                        verbose_name="scientific names",
                    ),
                ),
                (
                    "sort",
                    models.CharField(
                        choices=[
                            ("plant", "Plant"),
                            ("animal", "Wild animal"),
                            ("other", "Livestock, metal, plastic and the like"),
                        ],
                        max_length=8,
                        verbose_name="what it comes from",
                    ),
                ),
                ("source", models.CharField(max_length=200, verbose_name="who says so")),
                ("note", models.CharField(blank=True, max_length=200)),
                ("added_on", models.DateField(verbose_name="taken into the list on")),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={
                "ordering": ["sort", "name", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("retired_at__isnull", True)),
                        fields=("name",),
                        name="material_once_in_use",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="material_has_source"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PartMaterial",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "when",
                    models.CharField(
                        blank=True, help_text="1927, c. 1950, 1931 to 1964, not before 1919.", max_length=80
                    ),
                ),
                ("when_edtf", models.CharField(blank=True, editable=False, max_length=80)),
                ("when_earliest", models.SmallIntegerField(blank=True, editable=False, null=True)),
                ("when_latest", models.SmallIntegerField(blank=True, editable=False, null=True)),
                (
                    "origin",
                    models.CharField(
                        choices=[
                            ("unknown", "Not known where from"),
                            ("wild", "From the wild"),
                            ("grown", "Planted or bred"),
                            ("pre-convention", "Said to be pre-Convention"),
                        ],
                        default="unknown",
                        max_length=14,
                        verbose_name="where it is from",
                    ),
                ),
                (
                    "fitted",
                    models.CharField(
                        blank=True, max_length=80, verbose_name="put on, if later than the make"
                    ),
                ),
                (
                    "seen",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("eye", "Seen"),
                            ("loupe", "Seen with a loupe"),
                            ("ultraviolet", "Seen under ultraviolet light"),
                            ("inside", "Seen inside, by mirror or camera"),
                            ("apart", "Seen taken apart"),
                            ("measured", "Measured"),
                            ("paper", "From a paper"),
                            ("told", "As told to us"),
                        ],
                        max_length=12,
                        verbose_name="how it was seen",
                    ),
                ),
                ("evidence", models.CharField(blank=True, max_length=300, verbose_name="how we know")),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="private note")),
                (
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="materials",
                        to="catalog.instrument",
                    ),
                ),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="catalog.material"
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="catalog.part"
                    ),
                ),
            ],
            options={
                "verbose_name": "material of a part",
                "ordering": ["part__position", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("instrument", "part", "material"), name="material_once_a_part"
                    )
                ],
            },
        ),
        migrations.RunPython(add_materials, migrations.RunPython.noop),
    ]
