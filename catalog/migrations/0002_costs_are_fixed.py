"""The database itself refuses to change these facts."""

from django.db import migrations

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [("catalog", "0001_the_record")]

    operations = [append_only("catalog_cost")]
