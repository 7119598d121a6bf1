"""The worker's part in counting views: rounds, since what they do may be done again without harm."""

from datetime import datetime, timedelta

from catalog.visits.actions import count_up, forget_old
from shop.jobs.rounds import every
from shop.profile.queries import the_shop


@every(timedelta(minutes=1))
def count_views(at: datetime) -> None:
    """Count up what was looked at."""
    count_up(zone=the_shop().zone, at=at)


@every(timedelta(hours=6))
def forget_views(at: datetime) -> None:
    """Remove what is older than it is kept."""
    forget_old(zone=the_shop().zone, at=at)
