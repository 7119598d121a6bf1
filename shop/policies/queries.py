"""Which house policy is in force."""

from datetime import date, datetime

from shop.policies.models import HousePolicy
from shop.profile.queries import the_shop


def policy_on(day: date) -> HousePolicy:
    """The policy of a day: the one that began last; of two of one day, the one added later.

    Before the owner has written any, an unsaved one with the usual figures.
    """
    return HousePolicy.objects.filter(starts__lte=day).first() or HousePolicy(starts=day)


def policy_at(at: datetime) -> HousePolicy:
    """The policy in force at an instant, by the calendar of the shop."""
    return policy_on(at.astimezone(the_shop().zone).date())
