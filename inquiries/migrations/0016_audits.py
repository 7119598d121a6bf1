"""What was found when the books were gone through."""

from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0015_a_paper_names_no_person")]

    operations = [
        migrations.CreateModel(
            name="Audit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("found", models.JSONField(default=list)),
            ],
            options={
                "verbose_name": "audit",
                "ordering": ["-at", "-pk"],
                "indexes": [models.Index(fields=["-at"], name="audit_at")],
            },
        ),
        append_only("inquiries_audit"),
    ]
