"""The words that threads say, to be found by; those of a shop that is open already are read by the worker."""

import django.db.models.deletion
from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.utils import timezone

from catalog.search.nearness import trigram_index


def have_them_read(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Hand it to the worker, where there is anything to read."""
    if apps.get_model("inquiries", "Inquiry").objects.exists():
        jobs = apps.get_model("shop", "Job").objects
        jobs.create(task="inquiries.search.indexing.index_all", due=timezone.now())


class Migration(migrations.Migration):
    dependencies = [
        ("inquiries", "0007_earlier_wishes_count"),
        ("shop", "0006_history_can_be_emptied"),
    ]

    operations = [
        migrations.CreateModel(
            name="WrittenWord",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("word", models.CharField(max_length=60, unique=True)),
            ],
            options={
                "verbose_name": "written word",
            },
        ),
        migrations.CreateModel(
            name="WordOfThread",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("in_name", models.BooleanField(default=False)),
                (
                    "inquiry",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="words",
                        to="inquiries.inquiry",
                    ),
                ),
                (
                    "known",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="said",
                        to="inquiries.writtenword",
                    ),
                ),
            ],
            options={
                "verbose_name": "word of a thread",
                "indexes": [models.Index(fields=["known", "in_name", "inquiry"], name="thread_by_word")],
                "constraints": [
                    models.UniqueConstraint(fields=("known", "inquiry"), name="thread_says_once")
                ],
            },
        ),
        trigram_index("inquiries_writtenword"),
        migrations.RunPython(have_them_read, migrations.RunPython.noop),
    ]
