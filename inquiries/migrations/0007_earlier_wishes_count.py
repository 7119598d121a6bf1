"""Wishes that were written down before an address was asked to confirm them count as they did."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import F


def let_them_count(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Nobody was written to then, so nobody could have confirmed."""
    wishes = apps.get_model("inquiries", "Want").objects.filter(confirmed_at__isnull=True)
    wishes.update(confirmed_at=F("asked_at"))


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0006_mail_that_may_have_gone")]
    operations = [migrations.RunPython(let_them_count, migrations.RunPython.noop)]
