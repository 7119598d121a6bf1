"""Receipts have no table of their own any more, and each file names its paper."""

import django.db.models.deletion
from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    """What is left over goes; the guards stand again."""

    dependencies = [("inquiries", "0022_earlier_receipts")]

    operations = [
        migrations.RemoveConstraint("paperfile", "file_of_one_paper"),
        migrations.RemoveField("paperfile", "receipt"),
        migrations.AlterField(
            "paperfile",
            "paper",
            models.OneToOneField(
                "inquiries.IssuedPaper", on_delete=django.db.models.deletion.PROTECT, related_name="file"
            ),
        ),
        migrations.DeleteModel("Receipt"),
        append_only("inquiries_paperfile", "inquiries_issuedpaper"),
    ]
