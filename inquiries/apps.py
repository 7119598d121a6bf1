"""The inquiries app."""

from django.apps import AppConfig


class InquiriesConfig(AppConfig):
    """Who asks, and what becomes of it."""

    name = "inquiries"
    verbose_name = "Inquiries"

    def ready(self) -> None:
        """Register jobs, and tell the catalogue how availability is found and what changes it."""
        from catalog.instruments import availability, changing
        from catalog.pricing import margin_queries
        from catalog.public.depends import watch_of_piece
        from catalog.publishing import waiting
        from inquiries.answering import reading  # noqa: F401
        from inquiries.audit import actions as audit_actions  # noqa: F401
        from inquiries.mail import fetching  # noqa: F401
        from inquiries.offers.queries import offered_for
        from inquiries.papers import filing  # noqa: F401
        from inquiries.people import erase_actions, merge_actions  # noqa: F401
        from inquiries.sales import hold_actions, queries  # noqa: F401
        from inquiries.sales.hold_models import Hold
        from inquiries.sales.models import Sale
        from inquiries.search import indexing
        from inquiries.threads import sending  # noqa: F401
        from inquiries.wants import actions, call_actions  # noqa: F401

        availability.register(
            queries.annotate_availability,
            queries.count_waiting,
            queries.taken_at,
            queries.next_turn,
            queries.told_end,
        )
        waiting.register(call_actions.waited_for, call_actions.when_published)
        margin_queries.register(offered_for)
        watch_of_piece(Hold, {"instrument_id", "state", "starts_at", "until", "policy_id"}, on_card=True)
        watch_of_piece(Sale, {"instrument_id", "ended_at"}, on_card=True)
        indexing.follow_the_history()
        changing.listen(indexing.index_pieces)
