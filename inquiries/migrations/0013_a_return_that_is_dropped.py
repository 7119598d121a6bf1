"""A return can be dropped; sales that stand already learn their stage."""

import datetime

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from inquiries.sales.rules import SaleFacts, stage
from shop.facts import append_only

SETTLED = {"deposit", "payment", "refund"}


def learn(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Work out the copy of the stage from the rows there are."""
    now = datetime.datetime.now(datetime.UTC)
    for sale in apps.get_model("inquiries", "Sale").objects.all():
        rows = list(
            apps.get_model("inquiries", "LedgerRow").objects.filter(sale=sale).select_related("reverses")
        )
        settled = [row.amount for row in rows if (row.reverses or row).kind in SETTLED]
        shipment = apps.get_model("inquiries", "Shipment").objects.filter(sale=sale).first()
        delivery = apps.get_model("inquiries", "Delivery").objects.filter(shipment__sale=sale).first()
        paid = -sum(settled)
        facts = SaleFacts(
            charged=sum(row.amount for row in rows) + paid,
            paid=paid,
            uncleared=0 * paid,
            approval_hours=sale.approval_hours,
            shipped_at=shipment.at if shipment else None,
            delivered_at=delivery.at if delivery else None,
            outcome=sale.outcome,
        )
        sale.stage = stage(facts, at=now).name
        sale.save(update_fields=["stage"])


class Migration(migrations.Migration):
    dependencies = [
        ("inquiries", "0012_the_sale"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterModelOptions(
            name="returncall",
            options={
                "ordering": ["at", "pk"],
                "verbose_name": "word of a return",
                "verbose_name_plural": "words of returns",
            },
        ),
        migrations.AlterField(
            model_name="returncall",
            name="sale",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="return_calls", to="inquiries.sale"
            ),
        ),
        migrations.AlterField(
            model_name="sale",
            name="stage",
            field=models.CharField(
                choices=[
                    ("DEPOSIT", "Deposit taken"),
                    ("PAID", "Paid in full"),
                    ("SHIPPED", "Shipped"),
                    ("APPROVAL", "On approval"),
                    ("APPROVED", "Approval over"),
                    ("CLOSED", "Closed"),
                    ("COMING_BACK", "Coming back"),
                    ("BACK", "Back in the shop"),
                    ("RETURNED", "Returned"),
                    ("FELL_THROUGH", "Fell through"),
                ],
                default="DEPOSIT",
                help_text="A copy of what its rows say, as of the last deed.",
                max_length=12,
            ),
        ),
        migrations.CreateModel(
            name="ReturnDropped",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("why", models.CharField(max_length=300)),
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
                    "call",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="dropped",
                        to="inquiries.returncall",
                    ),
                ),
            ],
            options={
                "verbose_name": "return dropped",
            },
        ),
        append_only("inquiries_returncall", "inquiries_returndropped"),
        migrations.RunPython(learn, migrations.RunPython.noop),
    ]
