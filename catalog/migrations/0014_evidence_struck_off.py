"""Evidence is struck off, and stays on the books."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0013_consignment_and_work"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="datingevidence",
            name="confirmed_at",
            field=models.DateTimeField(blank=True, editable=False, null=True, verbose_name="confirmed at"),
        ),
        migrations.AddField(
            model_name="datingevidence",
            name="confirmed_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
                verbose_name="confirmed by",
            ),
        ),
        migrations.AddField(
            model_name="datingevidence",
            name="struck_at",
            field=models.DateTimeField(blank=True, editable=False, null=True, verbose_name="struck off at"),
        ),
        migrations.AddField(
            model_name="datingevidence",
            name="struck_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
                verbose_name="struck off by",
            ),
        ),
        migrations.AddField(
            model_name="datingevidence",
            name="struck_reason",
            field=models.CharField(
                blank=True, editable=False, max_length=300, verbose_name="why it is struck off"
            ),
        ),
        migrations.AddField(
            model_name="provenance",
            name="confirmed_at",
            field=models.DateTimeField(blank=True, editable=False, null=True, verbose_name="confirmed at"),
        ),
        migrations.AddField(
            model_name="provenance",
            name="confirmed_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
                verbose_name="confirmed by",
            ),
        ),
        migrations.AddField(
            model_name="provenance",
            name="struck_at",
            field=models.DateTimeField(blank=True, editable=False, null=True, verbose_name="struck off at"),
        ),
        migrations.AddField(
            model_name="provenance",
            name="struck_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
                verbose_name="struck off by",
            ),
        ),
        migrations.AddField(
            model_name="provenance",
            name="struck_reason",
            field=models.CharField(
                blank=True, editable=False, max_length=300, verbose_name="why it is struck off"
            ),
        ),
        migrations.AddConstraint(
            model_name="datingevidence",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("confirmed_at", None),
                    models.Q(("struck_at__isnull", False), models.Q(("struck_reason", ""), _negated=True)),
                    _connector="OR",
                ),
                name="datingevidence_confirmed_with_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="provenance",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("confirmed_at", None),
                    models.Q(("struck_at__isnull", False), models.Q(("struck_reason", ""), _negated=True)),
                    _connector="OR",
                ),
                name="provenance_confirmed_with_reason",
            ),
        ),
    ]
