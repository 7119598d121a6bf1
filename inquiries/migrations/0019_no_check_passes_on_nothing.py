"""Spans and deposits are whole: a comparison with nothing is neither true nor false, and a check let it pass."""

from django.db import migrations, models

from shop.facts import append_only

F, Q = models.F, models.Q
WHOLE = Q(starts_at__isnull=True, until__isnull=True) | Q(
    starts_at__isnull=False, until__isnull=False, starts_at__lt=F("until")
)


class Migration(migrations.Migration):
    """Three checks that say it fully."""

    dependencies = [("inquiries", "0018_postings_of_earlier_sales")]

    operations = [
        migrations.RemoveConstraint("hold", "hold_span_in_order"),
        migrations.AddConstraint("hold", models.CheckConstraint(condition=WHOLE, name="hold_span_in_order")),
        migrations.RemoveConstraint("hold", "longer_hold_needs_deposit"),
        migrations.AddConstraint(
            "hold",
            models.CheckConstraint(
                condition=Q(condition="free", balance_hours__isnull=True)
                | Q(condition="deposit", balance_hours__isnull=False, balance_hours__gte=F("hours")),
                name="longer_hold_needs_deposit",
            ),
        ),
        migrations.RemoveConstraint("holdnotice", "notice_span_in_order"),
        migrations.AddConstraint(
            "holdnotice", models.CheckConstraint(condition=WHOLE, name="notice_span_in_order")
        ),
        append_only("inquiries_holdnotice"),
    ]
