"""The catalogue app."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """What we have, and what may be said of it."""

    name = "catalog"
    verbose_name = "Catalogue"

    def ready(self) -> None:
        """Register the jobs for the worker; keep the shelf, and the pages that are kept, at what the records show."""
        from catalog.instruments import changing
        from catalog.pictures import tasks as pictures  # noqa: F401
        from catalog.public import depends
        from catalog.recordings import tasks as recordings  # noqa: F401
        from catalog.search.shelving import shelve
        from catalog.visits import tasks as visits  # noqa: F401

        depends.watch_all()
        changing.follow_the_history()
        changing.listen(shelve)
