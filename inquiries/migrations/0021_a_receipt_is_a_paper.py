"""A receipt becomes an issued paper of one amount, so that it can have a later version. First the room for it."""

import django.db.models.deletion
from django.db import migrations, models

from shop.facts import append_only

Q = models.Q
KINDS = [
    ("quotation", "Quotation"),
    ("invoice", "Invoice"),
    ("plan", "Instalment plan"),
    ("bill", "Bill of sale"),
    ("packing", "Packing list"),
    ("customs", "Commercial invoice"),
    ("statement", "Consignor’s statement"),
    ("return", "Return note"),
    ("receipt", "Receipt"),
]


class Migration(migrations.Migration):
    """The amount that a receipt is of, and one number for each."""

    dependencies = [("inquiries", "0020_credit_goes_with_the_sale")]

    operations = [
        migrations.AddField(
            model_name="issuedpaper",
            name="row",
            field=models.ForeignKey(
                "inquiries.LedgerRow",
                null=True,
                blank=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="receipts",
            ),
        ),
        migrations.AlterField("issuedpaper", "kind", models.CharField(choices=KINDS, max_length=10)),
        migrations.RemoveConstraint("issuedpaper", "one_number_of_a_kind_a_sale"),
        migrations.AddConstraint(
            "issuedpaper",
            models.UniqueConstraint(
                fields=["kind", "sale"],
                condition=Q(version=1) & ~Q(kind="receipt"),
                name="one_number_of_a_kind_a_sale",
            ),
        ),
        migrations.AddConstraint(
            "issuedpaper",
            models.UniqueConstraint(
                fields=["row"], condition=Q(version=1), name="one_receipt_number_an_amount"
            ),
        ),
        migrations.AddConstraint(
            "issuedpaper",
            models.CheckConstraint(
                condition=Q(kind="receipt", row__isnull=False) | ~Q(kind="receipt") & Q(row__isnull=True),
                name="receipt_of_an_amount",
            ),
        ),
        append_only("inquiries_issuedpaper"),
    ]
