"""A notice of a hold keeps the span that was told, so that whoever was told differently can be found."""

from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    """Two instants, which stand in order."""

    dependencies = [("inquiries", "0013_a_return_that_is_dropped")]

    operations = [
        migrations.AddField(
            model_name="holdnotice",
            name="starts_at",
            field=models.DateTimeField("from when they were told", null=True, blank=True),
        ),
        migrations.AddField(
            model_name="holdnotice",
            name="until",
            field=models.DateTimeField("until when they were told", null=True, blank=True),
        ),
        migrations.AddConstraint(
            model_name="holdnotice",
            constraint=models.CheckConstraint(
                condition=models.Q(starts_at__isnull=True, until__isnull=True)
                | models.Q(starts_at__lt=models.F("until")),
                name="notice_span_in_order",
            ),
        ),
        append_only("inquiries_holdnotice"),
    ]
