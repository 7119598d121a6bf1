"""Terms of consignment, and jobs of work."""

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0012_materials"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="acquisition",
            name="invoice_number",
            field=models.CharField(
                blank=True,
                help_text="For the stock book.",
                max_length=60,
                verbose_name="number of the seller’s invoice",
            ),
        ),
        migrations.AddField(
            model_name="acquisition",
            name="vat_charged",
            field=models.BooleanField(
                default=False,
                help_text="Then it cannot be sold under the margin scheme; normal VAT is due.",
                verbose_name="the seller charged VAT on it",
            ),
        ),
        migrations.CreateModel(
            name="Agreement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "share",
                    models.CharField(
                        choices=[
                            ("flat", "One rate for the whole price"),
                            ("tiered", "A rate for each part of the price"),
                        ],
                        max_length=6,
                        verbose_name="how the commission is counted",
                    ),
                ),
                (
                    "basis",
                    models.CharField(
                        choices=[
                            ("gross", "The price as paid"),
                            ("net", "The price less the costs that the consignor bears"),
                        ],
                        default="gross",
                        max_length=5,
                        verbose_name="counted on",
                    ),
                ),
                (
                    "least",
                    models.DecimalField(
                        decimal_places=2,
                        default=0,
                        help_text="Nought: none.",
                        max_digits=12,
                        validators=[django.core.validators.MinValueValidator(0)],
                        verbose_name="least commission",
                    ),
                ),
                (
                    "reserve",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(0)],
                        verbose_name="not to be sold below",
                    ),
                ),
                ("currency", models.CharField(max_length=3)),
                ("starts", models.DateField(verbose_name="from")),
                ("ends", models.DateField(blank=True, null=True, verbose_name="until")),
                (
                    "repairs_by",
                    models.CharField(
                        choices=[("shop", "The shop"), ("consignor", "The consignor")],
                        default="shop",
                        max_length=10,
                        verbose_name="repairs and set-up are borne by",
                    ),
                ),
                (
                    "shipping_in_by",
                    models.CharField(
                        choices=[("shop", "The shop"), ("consignor", "The consignor")],
                        default="consignor",
                        max_length=10,
                        verbose_name="shipping to the shop is borne by",
                    ),
                ),
                (
                    "payout_days",
                    models.PositiveSmallIntegerField(
                        default=14,
                        help_text="Counted from the end of the approval period.",
                        verbose_name="paid out within, in days",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("entry", models.UUIDField(blank=True, editable=False, null=True, unique=True)),
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
                        related_name="agreements",
                        to="catalog.instrument",
                    ),
                ),
            ],
            options={
                "verbose_name": "consignment agreement",
                "ordering": ["-starts", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="AgreementTier",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("above", models.DecimalField(decimal_places=2, default=0, max_digits=12)),
                ("percent", models.DecimalField(decimal_places=2, max_digits=5)),
                (
                    "agreement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tiers",
                        to="catalog.agreement",
                    ),
                ),
            ],
            options={
                "verbose_name": "tier of a commission",
                "ordering": ["above"],
            },
        ),
        migrations.CreateModel(
            name="Work",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(choices=[("repair", "Repair"), ("setup", "Set-up")], max_length=12),
                ),
                ("what", models.CharField(max_length=300, verbose_name="what is to be done")),
                ("who", models.CharField(max_length=120, verbose_name="who does it")),
                ("begun_on", models.DateField(verbose_name="given on")),
                ("done_on", models.DateField(blank=True, null=True, verbose_name="came back on")),
                (
                    "estimate",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(0)],
                        verbose_name="estimated at",
                    ),
                ),
                ("outcome", models.CharField(blank=True, max_length=300, verbose_name="what was done")),
                ("entry", models.UUIDField(blank=True, editable=False, null=True, unique=True)),
                (
                    "cost",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work",
                        to="catalog.cost",
                    ),
                ),
                (
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="works",
                        to="catalog.instrument",
                    ),
                ),
            ],
            options={
                "verbose_name": "job of work",
                "verbose_name_plural": "jobs of work",
                "ordering": ["begun_on", "pk"],
            },
        ),
        migrations.AddConstraint(
            model_name="agreement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("ends__isnull", True), ("ends__gte", models.F("starts")), _connector="OR"
                ),
                name="agreement_in_order",
            ),
        ),
        migrations.AddConstraint(
            model_name="agreement",
            constraint=models.CheckConstraint(
                condition=models.Q(("least__gte", 0)), name="least_commission_not_below_nought"
            ),
        ),
        migrations.AddConstraint(
            model_name="agreementtier",
            constraint=models.UniqueConstraint(fields=("agreement", "above"), name="one_tier_above"),
        ),
        migrations.AddConstraint(
            model_name="agreementtier",
            constraint=models.CheckConstraint(
                condition=models.Q(("above__gte", 0), ("percent__gte", 0), ("percent__lte", 100)),
                name="tier_in_bounds",
            ),
        ),
        migrations.AddConstraint(
            model_name="work",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("done_on__isnull", True), ("done_on__gte", models.F("begun_on")), _connector="OR"
                ),
                name="work_in_order",
            ),
        ),
        append_only("catalog_agreement", "catalog_agreementtier"),
    ]
