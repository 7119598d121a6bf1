"""Rows of evidence that are struck off the record and never removed from the books."""

from typing import Any, ClassVar, NoReturn, TypeVar

from django.conf import settings
from django.db import models


class IsStruckOff(Exception):
    """Someone tried to remove evidence; the remedy is to strike it off."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} is never removed. Strike it off instead.")


M_co = TypeVar("M_co", bound=models.Model, covariant=True)


class StrikeableQuerySet(models.QuerySet[M_co]):
    """A queryset that removes nothing."""

    def delete(self) -> NoReturn:
        """Refuse."""
        raise IsStruckOff(str(self.model._meta.verbose_name))


class StandingManager(models.Manager[M_co]):
    """Hands out what stands on the record; also to relations, so that nothing else is ever read by chance."""

    def get_queryset(self) -> StrikeableQuerySet[M_co]:
        """The rows that were not struck off."""
        return StrikeableQuerySet[M_co](self.model, using=self._db).filter(struck_at=None)


class EveryManager(models.Manager[M_co]):
    """Hands out every row, struck off or not."""

    def get_queryset(self) -> StrikeableQuerySet[M_co]:
        """All rows there are."""
        return StrikeableQuerySet[M_co](self.model, using=self._db)

    def waiting(self) -> "StrikeableQuerySet[M_co]":
        """What was struck off and not confirmed, in the order of the strikings."""
        return (
            self.get_queryset().filter(struck_at__isnull=False, confirmed_at=None).order_by("struck_at", "pk")
        )


class Strikeable(models.Model):
    """A row that can be struck off: when, by whom; and why it may stay so, once the owner has confirmed that."""

    struck_at = models.DateTimeField("struck off at", null=True, blank=True, editable=False)
    struck_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        editable=False,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="struck off by",
    )
    struck_reason = models.CharField("why it is struck off", max_length=300, blank=True, editable=False)
    confirmed_at = models.DateTimeField("confirmed at", null=True, blank=True, editable=False)
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        editable=False,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="confirmed by",
    )

    objects = StandingManager()
    every = EveryManager()

    class Meta:
        abstract = True
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=models.Q(confirmed_at=None)
                | models.Q(struck_at__isnull=False) & ~models.Q(struck_reason=""),
                name="%(class)s_confirmed_with_reason",
            )
        ]

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise IsStruckOff(str(self._meta.verbose_name))
