"""The inquiries app."""

from django.apps import AppConfig


class InquiriesConfig(AppConfig):
    """Who asks, and what becomes of it."""

    name = "inquiries"
    verbose_name = "Inquiries"

    def ready(self) -> None:
        """Register jobs, and tell the catalogue how availability is found."""
        from catalog.instruments import availability
        from inquiries.sales import hold_actions, queries  # noqa: F401
        from inquiries.threads import actions  # noqa: F401

        availability.register(queries.annotate_availability, queries.count_waiting, queries.taken_at)
