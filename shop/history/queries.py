"""Read history."""

from django.db import models

from shop.history.models import Entry


def history_of(*subjects: models.Model) -> "models.QuerySet[Entry]":
    """Every entry about the given rows, newest first, with the person who acted."""
    wanted = models.Q(pk__in=[])
    for subject in subjects:
        wanted |= models.Q(about=subject._meta.model_name, about_id=subject.pk)
    return Entry.objects.filter(wanted).select_related("by")
