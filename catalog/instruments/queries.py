"""Which instruments."""

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Prefetch

if TYPE_CHECKING:
    from catalog.instruments.models import Instrument  # noqa: F401 - named in the base class below


class InstrumentQuerySet(models.QuerySet["Instrument"]):
    """Instruments by what may be done with them."""

    def listed(self) -> "InstrumentQuerySet":
        """For sale on the public side now, newest listing first."""
        return self.filter(state="listed").order_by("-listed_at", "-stock")

    def archived(self) -> "InstrumentQuerySet":
        """Sold through this shop, latest sale first."""
        return self.filter(state="sold").order_by("-sold_at", "-stock")

    def public(self) -> "InstrumentQuerySet":
        """All that the public may open."""
        return self.filter(state__in=["listed", "sold"])

    def standing(self) -> "InstrumentQuerySet":
        """Everything in the shop's hands that is not sold."""
        return self.exclude(state="sold")

    def named(self) -> "InstrumentQuerySet":
        """With kind, maker, model and configurations, so that names cost no further query."""
        return self.select_related("kind", "maker", "model__maker", "configuration_made", "configuration_now")

    def with_lead(self) -> "InstrumentQuerySet":
        """With the ready photographs in their order, in one further query (`instrument.ready`)."""
        from catalog.pictures.models import Photograph

        ready = Photograph.objects.ready().select_related("view")
        return self.prefetch_related(Prefetch("photographs", queryset=ready, to_attr="ready"))
