"""A rate limit that all processes share, because it is counted in the database."""

import hashlib
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import F

from shop.limits.models import Count


@transaction.atomic
def within_limit(what: str, who: str, *, most: int, every: timedelta, at: datetime) -> bool:
    """Count one more `what` by `who`; False when it is more than `most` in the fixed window `every`.

    `who` (an address) is kept only as a keyed hash, and counts older than the window are removed.
    """
    seconds = int(every.total_seconds())
    window = datetime.fromtimestamp(int(at.timestamp()) // seconds * seconds, tz=at.tzinfo)
    key = f"{what}:{_hashed(who)}"
    Count.objects.filter(key__startswith=f"{what}:", window__lt=window).delete()
    count, _ = Count.objects.get_or_create(key=key, window=window)
    Count.objects.filter(pk=count.pk).update(times=F("times") + 1)
    count.refresh_from_db(fields=["times"])
    return count.times <= most


def _hashed(who: str) -> str:
    return hashlib.blake2b(who.encode(), key=settings.SECRET_KEY.encode()[:64], digest_size=16).hexdigest()
