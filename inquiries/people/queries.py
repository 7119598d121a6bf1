"""What people seek."""

from django.db.models import QuerySet

from inquiries.people.models import Want


def open_wants() -> "QuerySet[Want]":
    """Wishes that wait to be fulfilled, the latest first, with the person."""
    return Want.objects.filter(done_at__isnull=True).select_related("contact").order_by("-asked_at", "-pk")
