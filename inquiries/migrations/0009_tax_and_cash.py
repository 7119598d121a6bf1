"""The shop's tax rates, its policy, and from what sum on cash is reported; inquiries/cash/limits.json is the first."""

import json
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from shop.facts import append_only

LIMITS = Path(__file__).resolve().parent.parent / "cash" / "limits.json"


def add_limits(apps: StateApps, editor: BaseDatabaseSchemaEditor | None) -> None:
    cash_limit = apps.get_model("inquiries", "CashLimit")
    for row in json.loads(LIMITS.read_text(encoding="utf-8")):
        days = {name: date.fromisoformat(row[name]) for name in ("starts", "read_on")}
        amounts = {name: Decimal(row[name]) for name in ("amount", "check_face")}
        at = datetime(days["read_on"].year, days["read_on"].month, days["read_on"].day, tzinfo=UTC)
        cash_limit.objects.create(**row | days | amounts, at=at)


class Migration(migrations.Migration):
    dependencies = [
        ("inquiries", "0008_words_of_letters"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CashLimit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("country", models.CharField(help_text="Two letters, as in ISO 3166: US.", max_length=2)),
                ("starts", models.DateField(verbose_name="from")),
                (
                    "amount",
                    models.DecimalField(
                        decimal_places=2,
                        help_text="A sum above it is to be reported.",
                        max_digits=12,
                        validators=[django.core.validators.MinValueValidator(0)],
                        verbose_name="limit",
                    ),
                ),
                ("currency", models.CharField(help_text="Three letters, as in ISO 4217: USD.", max_length=3)),
                (
                    "check_face",
                    models.DecimalField(
                        decimal_places=2,
                        max_digits=12,
                        validators=[django.core.validators.MinValueValidator(0)],
                        verbose_name="a cashier’s check counts as cash up to a face of",
                    ),
                ),
                (
                    "months",
                    models.PositiveSmallIntegerField(
                        default=12, verbose_name="payments add up over, in months"
                    ),
                ),
                (
                    "due_days",
                    models.PositiveSmallIntegerField(default=15, verbose_name="report due after, in days"),
                ),
                (
                    "checks_at_any_price",
                    models.BooleanField(
                        default=True,
                        help_text="The cautious reading: an old instrument may be a collectible.",
                        verbose_name="cashier’s checks count whatever the price of the piece",
                    ),
                ),
                ("source", models.CharField(max_length=300, verbose_name="where to read the rule")),
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
                "verbose_name": "cash limit",
                "ordering": ["country", "-starts", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="TaxPolicy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("starts", models.DateField(verbose_name="from")),
                (
                    "scheme",
                    models.CharField(
                        choices=[
                            ("none", "No tax collected"),
                            ("sales-tax", "Sales tax"),
                            ("vat-normal", "VAT, normal rules"),
                            ("vat-margin", "VAT, margin scheme"),
                        ],
                        max_length=12,
                        verbose_name="how sales are taxed",
                    ),
                ),
                (
                    "sourcing",
                    models.CharField(
                        choices=[("destination", "Where the buyer is"), ("origin", "Where the shop is")],
                        default="destination",
                        help_text="What goes to another state or country is taxed, if at all, by the rates of its destination.",
                        max_length=12,
                        verbose_name="whose rates count within the state",
                    ),
                ),
                (
                    "shipping_taxable",
                    models.BooleanField(default=False, verbose_name="shipping charged is taxed"),
                ),
                (
                    "trade_in_allowed",
                    models.BooleanField(default=False, verbose_name="a trade-in lowers what is taxed"),
                ),
                (
                    "rounding",
                    models.CharField(
                        choices=[("line", "Each line"), ("invoice", "The whole sale")],
                        default="invoice",
                        help_text="Half a cent goes up. Under the margin scheme it is always the item.",
                        max_length=8,
                        verbose_name="what is rounded to the cent",
                    ),
                ),
                (
                    "inland",
                    models.CharField(
                        blank=True,
                        help_text="Besides the shop’s own; two letters each, with spaces between them.",
                        max_length=200,
                        verbose_name="countries that are no export",
                    ),
                ),
                (
                    "note",
                    models.CharField(blank=True, max_length=300, verbose_name="why, or on whose advice"),
                ),
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
                "verbose_name": "tax policy",
                "verbose_name_plural": "tax policies",
                "ordering": ["-starts", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="TaxRate",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "jurisdiction",
                    models.CharField(
                        help_text="Its name. The same name again, from a later day, takes the place of this row.",
                        max_length=80,
                    ),
                ),
                (
                    "country",
                    models.CharField(help_text="Two letters, as in ISO 3166: US, GB, DE.", max_length=2),
                ),
                (
                    "state",
                    models.CharField(
                        blank=True,
                        help_text="Two letters, as in an address. Empty: the whole country.",
                        max_length=2,
                    ),
                ),
                (
                    "postal",
                    models.CharField(
                        blank=True,
                        help_text="With spaces between them, whole or how they begin. Empty: the whole state.",
                        max_length=400,
                        verbose_name="postal codes",
                    ),
                ),
                (
                    "percent",
                    models.DecimalField(
                        decimal_places=4,
                        help_text="Nought ends it.",
                        max_digits=7,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0")),
                            django.core.validators.MaxValueValidator(Decimal("100")),
                        ],
                        verbose_name="rate, per cent",
                    ),
                ),
                ("starts", models.DateField(verbose_name="from")),
                (
                    "source",
                    models.CharField(
                        help_text="The authority’s page or notice, and when you read it.",
                        max_length=300,
                        verbose_name="where it is published",
                    ),
                ),
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
                "verbose_name": "tax rate",
                "ordering": ["jurisdiction", "starts", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("percent__gte", 0), ("percent__lte", 100)),
                        name="tax_rate_in_bounds",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("postal", ""), models.Q(("state", ""), _negated=True), _connector="OR"
                        ),
                        name="postal_codes_lie_in_a_state",
                    ),
                ],
            },
        ),
        append_only("inquiries_cashlimit", "inquiries_taxpolicy", "inquiries_taxrate"),
        migrations.RunPython(add_limits, migrations.RunPython.noop),
    ]
