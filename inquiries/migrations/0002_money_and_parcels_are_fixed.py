"""The database itself refuses to change these facts."""

from django.db import migrations

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0001_from_question_to_sale")]

    operations = [
        append_only(
            "inquiries_ledgerrow",
            "inquiries_clearing",
            "inquiries_shipment",
            "inquiries_delivery",
            "inquiries_receipt",
            "inquiries_payout",
        )
    ]
