"""Give the next number."""

from django.db import transaction
from django.db.models import F

from shop.numbers.models import Series


@transaction.atomic
def next_number(series: str, *, first: int = 1) -> int:
    """Give the next whole number of `series`, starting at `first`.

    The series' row stays locked until the caller's transaction ends, so numbers have no gap and no twin.
    """
    Series.objects.get_or_create(name=series, defaults={"last": first - 1})
    Series.objects.filter(name=series).update(last=F("last") + 1)
    return Series.objects.get(name=series).last
