"""What carriers ask, in dated rows, which are facts; the shop brings none along."""

from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [
        ("inquiries", "0010_rules_of_borders"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CarrierRule",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("carrier", models.CharField(max_length=60)),
                ("starts", models.DateField(verbose_name="from")),
                (
                    "measured",
                    models.CharField(
                        choices=[
                            ("inches", "Inches and pounds"),
                            ("centimetres", "Centimetres and kilograms"),
                        ],
                        default="inches",
                        max_length=12,
                        verbose_name="measures in",
                    ),
                ),
                (
                    "divisor",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="Cubic inches per pound, or cubic centimetres per kilogram. Empty: no such weight.",
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                        verbose_name="divisor of the volume",
                    ),
                ),
                (
                    "above",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="Cubic inches or cubic centimetres. Empty: whatever the size.",
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                        verbose_name="only above a volume of",
                    ),
                ),
                (
                    "side",
                    models.CharField(
                        choices=[
                            ("up", "Up to a whole one"),
                            ("nearest", "To the nearest whole one"),
                            ("as-is", "Left as it is"),
                        ],
                        default="up",
                        max_length=8,
                        verbose_name="each side is rounded",
                    ),
                ),
                (
                    "weight",
                    models.CharField(
                        choices=[
                            ("whole", "Up to a whole pound or kilogram"),
                            ("half", "Up to half a pound or kilogram"),
                            ("as-is", "Not rounded"),
                        ],
                        default="whole",
                        max_length=8,
                        verbose_name="the weight is rounded",
                    ),
                ),
                (
                    "girth_limit",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="The longest side, and once around the other two; inches or centimetres.",
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                        verbose_name="length plus girth at most",
                    ),
                ),
                (
                    "longest",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="Inches or centimetres.",
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                        verbose_name="longest side at most",
                    ),
                ),
                (
                    "heaviest",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="Pounds or kilograms.",
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                        verbose_name="weight at most",
                    ),
                ),
                (
                    "declared_limit",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                        verbose_name="declared value at most",
                    ),
                ),
                ("currency", models.CharField(max_length=3)),
                (
                    "source",
                    models.CharField(
                        help_text="The carrier’s page or contract, and its section.",
                        max_length=300,
                        verbose_name="where it is written",
                    ),
                ),
                ("read_on", models.DateField(verbose_name="read on")),
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
            ],
            options={
                "verbose_name": "carrier rule",
                "ordering": ["carrier", "-starts", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="carrier_rule_has_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("divisor__isnull", True), ("divisor__gt", 0), _connector="OR"),
                        name="carrier_rule_divides_by_something",
                    ),
                ],
            },
        ),
        append_only("inquiries_carrierrule"),
    ]
