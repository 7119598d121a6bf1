"""The catalogue app."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """What we have, and what may be said of it."""

    name = "catalog"
    verbose_name = "Catalogue"

    def ready(self) -> None:
        """Register the jobs that this app hands to the worker, and keep the shelf at what the records show."""
        from catalog.instruments import changing
        from catalog.pictures import tasks as pictures  # noqa: F401
        from catalog.recordings import tasks as recordings  # noqa: F401
        from catalog.search.shelving import shelve
        from catalog.visits import tasks as visits  # noqa: F401

        changing.follow_the_history()
        changing.listen(shelve)
