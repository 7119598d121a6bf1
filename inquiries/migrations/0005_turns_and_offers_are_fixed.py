"""Threads that stand already learn whose turn it is; offers are facts."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps
from django.db.models import Exists, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce

from inquiries.people.telephones import e164
from shop.facts import append_only


def learn(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Fill in the last word, the wait and the telephone number of every row there is."""
    inquiries, messages = apps.get_model("inquiries", "Inquiry"), apps.get_model("inquiries", "Message")
    later = Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk"))
    answered = Exists(messages.objects.filter(later, inquiry=OuterRef("inquiry"), ours=True, automatic=False))
    last = messages.objects.filter(inquiry=OuterRef("pk")).order_by("-at", "-pk")
    waiting = messages.objects.filter(~answered, inquiry=OuterRef("pk"), ours=False).order_by("at", "pk")
    inquiries.objects.update(last_at=Coalesce(Subquery(last.values("at")[:1]), "opened_at"))
    inquiries.objects.filter(done_at__isnull=True).update(waiting_since=Subquery(waiting.values("at")[:1]))
    for contact in apps.get_model("inquiries", "Contact").objects.exclude(telephone=""):
        contact.telephone_e164 = e164(contact.telephone, contact.country)
        contact.save(update_fields=["telephone_e164"])


class Migration(migrations.Migration):
    dependencies = [("inquiries", "0004_correspondence"), ("shop", "0005_open_hours")]

    operations = [
        migrations.RunPython(learn, migrations.RunPython.noop),
        append_only("inquiries_offer", "inquiries_offerend"),
    ]
