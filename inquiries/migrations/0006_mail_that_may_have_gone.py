"""Mail of which nobody knows whether it went is not called unsent, and what is left as it is stays so."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0005_turns_and_offers_are_fixed")]

    operations = [
        migrations.AlterField(
            model_name="message",
            name="delivery",
            field=models.CharField(
                choices=[
                    ("none", "Not sent by mail"),
                    ("waiting", "Waiting to be sent"),
                    ("sending", "Being sent"),
                    ("sent", "Sent"),
                    ("stuck", "Not sent"),
                    ("unsure", "May have gone"),
                    ("left", "Left as it is"),
                ],
                default="none",
                max_length=8,
            ),
        )
    ]
