"""The ground app."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """Settings, staff, the shop's own profile, history, jobs and limits."""

    name = "shop"
    verbose_name = "Shop"
