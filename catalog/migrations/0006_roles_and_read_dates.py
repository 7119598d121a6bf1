"""Which parts are body, neck, finish and case; what the dates of the provenance name; a fact that is fixed."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from catalog.dating.reading import UnreadableDate, read_date
from shop.facts import append_only

ROLES = {
    "rim": "body",
    "top": "body",
    "back": "body",
    "sides": "body",
    "neck-wood": "neck",
    "finish": "finish",
    "case": "case",
}


def give_roles(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    for slug, role in ROLES.items():
        apps.get_model("catalog", "Part").objects.filter(slug=slug).update(role=role)


def read_dates(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """A date that cannot be read keeps its words and names no year."""
    rows = apps.get_model("catalog", "Provenance").objects
    for row in rows.all():
        try:
            read = read_date(row.when)
        except UnreadableDate:
            continue
        rows.filter(pk=row.pk).update(
            when_edtf=read.edtf, when_earliest=read.earliest, when_latest=read.latest
        )


class Migration(migrations.Migration):
    dependencies = [("catalog", "0005_what_may_be_said")]

    operations = [
        migrations.RunPython(give_roles, migrations.RunPython.noop),
        migrations.RunPython(read_dates, migrations.RunPython.noop),
        append_only("catalog_claimanswer"),
    ]
