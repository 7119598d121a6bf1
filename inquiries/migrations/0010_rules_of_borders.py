"""Rules of borders, which are facts; the ones that the shop opens with: inquiries/borders/rules.json."""

import json
from pathlib import Path

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from shop.facts import append_only

RULES = Path(__file__).resolve().parent.parent / "borders" / "rules.json"


def add_rules(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    rule = apps.get_model("inquiries", "BorderRule")
    rows = json.loads(RULES.read_text(encoding="utf-8"))
    rule.objects.bulk_create(rule(**row) for row in rows)


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0012_materials"),
        ("inquiries", "0009_tax_and_cash"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="BorderCheck",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("inputs", models.JSONField()),
                ("lines", models.JSONField()),
                ("entry", models.CharField(max_length=36, unique=True)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="border_checks",
                        to="catalog.instrument",
                    ),
                ),
                (
                    "sale",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="border_checks",
                        to="inquiries.sale",
                    ),
                ),
            ],
            options={
                "verbose_name": "check of borders",
                "ordering": ["-at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="BorderRule",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("law", models.CharField(max_length=120, verbose_name="law")),
                ("says", models.CharField(max_length=400, verbose_name="what it asks for")),
                (
                    "otherwise",
                    models.CharField(
                        blank=True, max_length=400, verbose_name="what is said when it does not bite"
                    ),
                ),
                (
                    "taxa",
                    models.CharField(
                        blank=True,
                        help_text="Species or genera, with commas between. Empty: all of what it comes from, or the piece as a whole.",
                        max_length=400,
                        verbose_name="scientific names",
                    ),
                ),
                ("without", models.CharField(blank=True, max_length=400, verbose_name="but not")),
                (
                    "sort",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "Any"),
                            ("plant", "Plant"),
                            ("animal", "Wild animal"),
                            ("other", "Livestock, metal, plastic and the like"),
                        ],
                        max_length=8,
                        verbose_name="what it comes from",
                    ),
                ),
                (
                    "way",
                    models.CharField(
                        choices=[
                            ("crossing", "Crossing a border"),
                            ("leaving", "Leaving one of the countries"),
                            ("entering", "Entering one of the countries"),
                            ("either", "Leaving or entering one of the countries"),
                            ("inside", "Staying inside one of the countries"),
                        ],
                        default="crossing",
                        max_length=8,
                        verbose_name="on which way",
                    ),
                ),
                (
                    "countries",
                    models.CharField(
                        blank=True,
                        help_text="Two letters each: US, GB; EU for the Union. Empty: every country.",
                        max_length=200,
                    ),
                ),
                ("since", models.DateField(blank=True, null=True, verbose_name="in force from")),
                (
                    "until",
                    models.DateField(blank=True, null=True, verbose_name="until, that day not among them"),
                ),
                ("applies_if", models.TextField(blank=True, verbose_name="only if")),
                ("unless", models.TextField(blank=True, verbose_name="but not if")),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("refused", "Generally refused"),
                            ("needed", "Likely needed"),
                            ("ask", "Ask the authority"),
                            ("class", "Likely class"),
                        ],
                        default="needed",
                        max_length=8,
                        verbose_name="what follows",
                    ),
                ),
                ("source", models.CharField(max_length=300)),
                ("read_on", models.DateField(blank=True, null=True, verbose_name="read on")),
                (
                    "certainty",
                    models.CharField(
                        choices=[
                            ("read", "Read in the source named"),
                            ("second", "Read in another’s account"),
                            ("noted", "From notes that name the source"),
                            ("memory", "From memory, not read"),
                        ],
                        max_length=8,
                    ),
                ),
                ("key", models.CharField(max_length=60, unique=True)),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "rule of borders",
                "ordering": ["law", "pk"],
            },
        ),
        migrations.CreateModel(
            name="RetiredRule",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("why", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "rule",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="retired",
                        to="inquiries.borderrule",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddConstraint(
            model_name="borderrule",
            constraint=models.CheckConstraint(
                condition=models.Q(("source", ""), _negated=True), name="border_rule_has_source"
            ),
        ),
        migrations.AddConstraint(
            model_name="borderrule",
            constraint=models.CheckConstraint(
                condition=models.Q(("certainty", "memory"), ("read_on__isnull", False), _connector="OR"),
                name="border_rule_was_read",
            ),
        ),
        migrations.AddConstraint(
            model_name="borderrule",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("since__isnull", True),
                    ("until__isnull", True),
                    ("since__lt", models.F("until")),
                    _connector="OR",
                ),
                name="border_rule_in_order",
            ),
        ),
        migrations.RunPython(add_rules, migrations.RunPython.noop),
        append_only("inquiries_borderrule", "inquiries_retiredrule", "inquiries_bordercheck"),
    ]
