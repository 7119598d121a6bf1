"""Gathers the rooms' models, so that Django finds them."""

from shop.history.models import Entry
from shop.jobs.models import Job
from shop.limits.models import Count
from shop.numbers.models import Series
from shop.policies.models import HousePolicy
from shop.profile.models import ClosedDay, OpenHours, ShopProfile
from shop.staff.models import User

__all__ = ["ClosedDay", "Count", "Entry", "HousePolicy", "Job", "OpenHours", "Series", "ShopProfile", "User"]
