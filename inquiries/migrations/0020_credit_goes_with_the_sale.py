"""Store credit names its person by the sale alone, so that a fact need not change when two people are one."""

from django.db import migrations

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0019_no_check_passes_on_nothing")]

    operations = [
        migrations.RemoveField(model_name="creditrow", name="contact"),
        append_only("inquiries_creditrow"),
    ]
