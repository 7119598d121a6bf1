"""Claims on originality for many instruments at once."""

from django.db.models import Case, Count, Exists, F, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Coalesce

from catalog.instruments.queries import InstrumentQuerySet
from catalog.originality.models import Finding
from catalog.originality.rules import NOT_EXAMINED, ORIGINAL, REFINISHED, Claim


def with_claim(instruments: InstrumentQuerySet) -> InstrumentQuerySet:
    """Give each instrument `claim`: the value of catalog.originality.rules.claim, computed in SQL.

    And `exceptions`: how many examined parts are not original.

    Two texts of one rule; tests/catalog/test_public_originality.py holds them equal.
    """
    examined = Finding.objects.filter(instrument=OuterRef("pk")).exclude(state=NOT_EXAMINED)
    excepted = examined.exclude(state__in=ORIGINAL)
    counted = excepted.order_by().values("instrument").annotate(many=Count("pk")).values("many")
    known = Q(configuration_made__isnull=False, configuration_now__isnull=False)
    first_that_fits = Case(
        When(known & ~Q(configuration_made=F("configuration_now")), then=Value(Claim.CONVERTED.value)),
        When(~Exists(examined), then=Value(Claim.NOT_EXAMINED.value)),
        When(Exists(examined.filter(state=REFINISHED)), then=Value(Claim.REFINISHED.value)),
        When(Exists(excepted), then=Value(Claim.BUT_FOR.value)),
        default=Value(Claim.ALL_ORIGINAL.value),
    )
    return instruments.annotate(claim=first_that_fits, exceptions=Coalesce(Subquery(counted), 0))
