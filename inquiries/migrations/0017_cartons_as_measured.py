"""Sides of a carton as they were measured; where a parcel went, or who came for it; a parcel that was lost."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from shop.facts import append_only

SIXTY_FOURTHS = 64  # in an inch


def open_the_facts(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Take the trigger off for the time of this migration; on SQLite it has gone with the altered table."""
    on = " ON inquiries_shipment" if editor.connection.vendor == "postgresql" else ""
    editor.execute(f"DROP TRIGGER IF EXISTS inquiries_shipment_fixed{on}")


def take_over(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Whole inches as the same number of inches in 64ths."""
    inches = models.F("carton_length_in"), models.F("carton_width_in"), models.F("carton_height_in")
    length, width, height = (side * SIXTY_FOURTHS for side in inches)
    apps.get_model("inquiries", "Shipment").objects.filter(
        carton_length_in__gt=0, carton_width_in__gt=0, carton_height_in__gt=0
    ).update(carton_length=length, carton_width=width, carton_height=height, carton_unit="in64")


class Migration(migrations.Migration):
    """The old whole inches go once they are taken over."""

    dependencies = [
        ("inquiries", "0016_audits"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        *(
            migrations.AddField(
                model_name="shipment", name=name, field=models.PositiveIntegerField(blank=True, null=True)
            )
            for name in ("carton_length", "carton_width", "carton_height")
        ),
        migrations.AddField(
            model_name="shipment", name="carton_unit", field=models.CharField(blank=True, max_length=8)
        ),
        migrations.AddField(
            model_name="shipment",
            name="country",
            field=models.CharField(blank=True, max_length=2, verbose_name="country it was sent to"),
        ),
        migrations.AddField(
            model_name="shipment",
            name="collected_by",
            field=models.CharField(blank=True, max_length=120, verbose_name="who came for it"),
        ),
        migrations.AddField(
            model_name="shipment",
            name="handed_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
                verbose_name="handed over by",
            ),
        ),
        migrations.RunPython(open_the_facts, migrations.RunPython.noop),
        migrations.RunPython(take_over, migrations.RunPython.noop),
        *(
            migrations.RemoveField(model_name="shipment", name=name)
            for name in ("carton_length_in", "carton_width_in", "carton_height_in")
        ),
        migrations.AddConstraint(
            model_name="shipment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("carton_height__isnull", True),
                        ("carton_length__isnull", True),
                        ("carton_unit", ""),
                        ("carton_width__isnull", True),
                    ),
                    models.Q(
                        ("carton_height__gt", 0),
                        ("carton_length__gt", 0),
                        ("carton_unit__in", ["in64", "mm10"]),
                        ("carton_width__gt", 0),
                    ),
                    _connector="OR",
                ),
                name="carton_has_three_sides_or_none",
            ),
        ),
        migrations.AddConstraint(
            model_name="shipment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("carrier", ""),
                    models.Q(("collected_by", ""), ("handed_by__isnull", True), ("identity", "")),
                    _connector="OR",
                ),
                name="collected_or_carried",
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
                    ("LOST", "Lost on the way"),
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
        append_only("inquiries_shipment"),
    ]
