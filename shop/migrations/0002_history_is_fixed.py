"""The database itself refuses to change these facts."""

from django.db import migrations

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [("shop", "0001_the_ground")]

    operations = [append_only("shop_entry")]
