"""One press of the cost form is one row.

SQLite adds a unique column by copying the table, which would lose the trigger that keeps costs fixed:
it is taken off before and put on again after.
"""

from typing import Any, cast

from django.db import migrations, models

from shop.facts import append_only

fixed = append_only("catalog_cost")


class Migration(migrations.Migration):
    dependencies = [("catalog", "0003_five_kinds")]

    operations = [
        migrations.RunPython(cast(Any, fixed.reverse_code), fixed.code),
        migrations.AddField(
            model_name="cost",
            name="entry",
            field=models.UUIDField(
                blank=True,
                editable=False,
                help_text="One press of one form is one row.",
                null=True,
                unique=True,
            ),
        ),
        fixed,
    ]
