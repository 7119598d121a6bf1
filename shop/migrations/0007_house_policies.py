"""What the profile said of holds, deposits and approval becomes the first house policy."""

import datetime
from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from shop.facts import append_only


def take_over(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """The profile's three figures, in force from ever."""
    for shop in apps.get_model("shop", "ShopProfile").objects.all():
        apps.get_model("shop", "HousePolicy").objects.create(
            starts=datetime.date(1900, 1, 1),
            hold_hours=shop.hold_hours,
            hold_most_hours=max(shop.hold_hours, 72),
            deposit_percent=shop.deposit_percent,
            approval_hours=shop.approval_hours,
            note="As the profile had it",
            at=datetime.datetime.now(datetime.UTC),
        )


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0006_history_can_be_emptied"),
    ]

    operations = [
        migrations.CreateModel(
            name="HousePolicy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("starts", models.DateField(verbose_name="from")),
                (
                    "hold_hours",
                    models.PositiveIntegerField(
                        default=48,
                        help_text="What is proposed for a hold.",
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(8784),
                        ],
                        verbose_name="length of a hold, in hours",
                    ),
                ),
                (
                    "hold_most_hours",
                    models.PositiveIntegerField(
                        default=72,
                        help_text="A longer one needs a deposit.",
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(8784),
                        ],
                        verbose_name="longest hold without a deposit, in hours",
                    ),
                ),
                (
                    "deposit_due_hours",
                    models.PositiveIntegerField(
                        default=48,
                        help_text="Without it the hold ends at that instant.",
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(8784),
                        ],
                        verbose_name="a deposit is due within, in hours",
                    ),
                ),
                (
                    "deposit_hold_days",
                    models.PositiveSmallIntegerField(
                        default=30,
                        help_text="The balance is due by then.",
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(730),
                        ],
                        verbose_name="longest hold with a deposit, in days",
                    ),
                ),
                (
                    "extension_hours",
                    models.PositiveIntegerField(
                        default=24,
                        help_text="A hold can be made longer once, by so much at most. Nought: never.",
                        validators=[
                            django.core.validators.MinValueValidator(0),
                            django.core.validators.MaxValueValidator(8784),
                        ],
                        verbose_name="one extension, in hours",
                    ),
                ),
                (
                    "timer_public",
                    models.BooleanField(
                        default=True,
                        help_text="Never for whom.",
                        verbose_name="a listing says until when it is on hold",
                    ),
                ),
                (
                    "deposit_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("20"),
                        help_text="What is proposed; another sum can be typed.",
                        max_digits=5,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0")),
                            django.core.validators.MaxValueValidator(Decimal("100")),
                        ],
                        verbose_name="usual deposit, per cent of the price",
                    ),
                ),
                (
                    "approval_hours",
                    models.PositiveIntegerField(
                        default=48,
                        help_text="Counted from the instant of delivery.",
                        validators=[
                            django.core.validators.MinValueValidator(0),
                            django.core.validators.MaxValueValidator(2160),
                        ],
                        verbose_name="approval period, in hours",
                    ),
                ),
                (
                    "restocking_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("0"),
                        help_text="Proposed when a piece comes back. Where a law gives the buyer the whole back, nought is right.",
                        max_digits=5,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0")),
                            django.core.validators.MaxValueValidator(Decimal("100")),
                        ],
                        verbose_name="restocking fee, per cent of the price",
                    ),
                ),
                (
                    "instalment_months",
                    models.PositiveSmallIntegerField(
                        default=6,
                        help_text="Nought: no instalments.",
                        validators=[django.core.validators.MaxValueValidator(120)],
                        verbose_name="longest payment by instalments, in months",
                    ),
                ),
                (
                    "grace_days",
                    models.PositiveSmallIntegerField(
                        default=7,
                        help_text="Later than that, the plan is in default.",
                        validators=[django.core.validators.MaxValueValidator(365)],
                        verbose_name="days of grace for an instalment",
                    ),
                ),
                (
                    "default_keeps_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("0"),
                        help_text="Proposed when a buyer stops paying. What may be kept differs by law: ask your adviser.",
                        max_digits=5,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0")),
                            django.core.validators.MaxValueValidator(Decimal("100")),
                        ],
                        verbose_name="kept at default, per cent of what was paid",
                    ),
                ),
                (
                    "surcharge_percent",
                    models.DecimalField(
                        decimal_places=2,
                        default=Decimal("0"),
                        help_text="Not allowed everywhere. Nought: none is charged.",
                        max_digits=5,
                        validators=[
                            django.core.validators.MinValueValidator(Decimal("0")),
                            django.core.validators.MaxValueValidator(Decimal("100")),
                        ],
                        verbose_name="surcharge on cards, per cent",
                    ),
                ),
                (
                    "surcharge_source",
                    models.CharField(
                        blank=True,
                        help_text="The law and the card contract, and when you read them.",
                        max_length=300,
                        verbose_name="where it says that a surcharge is allowed",
                    ),
                ),
                (
                    "declared_limit",
                    models.DecimalField(
                        blank=True,
                        decimal_places=2,
                        help_text="By the shop’s own transit policy, in the shop’s currency. Empty: none is known.",
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                        verbose_name="highest value insured for one parcel",
                    ),
                ),
                (
                    "damage_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="By the terms of the carrier or the insurer, from delivery. Empty: none is known.",
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(365),
                        ],
                        verbose_name="damage is to be reported within, in days",
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
                "verbose_name": "house policy",
                "verbose_name_plural": "house policies",
                "ordering": ["-starts", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("surcharge_percent", 0),
                            models.Q(("surcharge_source", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="surcharge_has_source",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("hold_hours__lte", models.F("hold_most_hours"))),
                        name="usual_hold_within_longest",
                    ),
                ],
            },
        ),
        append_only("shop_housepolicy"),
        migrations.RunPython(take_over, migrations.RunPython.noop),
        migrations.RemoveField(
            model_name="shopprofile",
            name="approval_hours",
        ),
        migrations.RemoveField(
            model_name="shopprofile",
            name="deposit_percent",
        ),
        migrations.RemoveField(
            model_name="shopprofile",
            name="hold_hours",
        ),
    ]
