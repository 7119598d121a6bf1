"""A paper is of a sale or of a thread, which say whose it is: a fact cannot go from one contact to another."""

import django.db.models.deletion
from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    """The thread in place of the contact, and one number of a kind for each sale or thread."""

    dependencies = [("inquiries", "0014_what_a_notice_said")]

    operations = [
        migrations.RemoveField(model_name="issuedpaper", name="contact"),
        migrations.AddField(
            model_name="issuedpaper",
            name="inquiry",
            field=models.ForeignKey(
                "inquiries.Inquiry",
                null=True,
                blank=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="papers",
            ),
        ),
        migrations.AddConstraint(
            model_name="issuedpaper",
            constraint=models.CheckConstraint(
                condition=models.Q(kind="quotation", sale__isnull=True, inquiry__isnull=False)
                | ~models.Q(kind="quotation") & models.Q(sale__isnull=False, inquiry__isnull=True),
                name="paper_of_a_sale_or_a_thread",
            ),
        ),
        migrations.AddConstraint(
            model_name="issuedpaper",
            constraint=models.UniqueConstraint(
                fields=["kind", "sale"], condition=models.Q(version=1), name="one_number_of_a_kind_a_sale"
            ),
        ),
        migrations.AddConstraint(
            model_name="issuedpaper",
            constraint=models.UniqueConstraint(
                fields=["inquiry"], condition=models.Q(version=1), name="one_quotation_number_a_thread"
            ),
        ),
        append_only("inquiries_issuedpaper"),
    ]
