"""The shop's tax number, which an invoice with VAT must show."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """One more line of the profile."""

    dependencies = [("shop", "0007_house_policies")]

    operations = [
        migrations.AddField(
            model_name="shopprofile",
            name="tax_number",
            field=models.CharField(
                "tax number, as papers print it",
                max_length=80,
                blank=True,
                default="",
                help_text="With its name before it, such as “VAT No.”; invoices with VAT must show it.",
            ),
            preserve_default=False,
        ),
    ]
