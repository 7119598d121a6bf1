"""The catalogue app."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """What we have, and what may be said of it."""

    name = "catalog"
    verbose_name = "Catalogue"

    def ready(self) -> None:
        """Register the jobs that this app hands to the worker."""
        from catalog.pictures import tasks  # noqa: F401
