"""Find the shop's profile."""

from shop.profile.models import ShopProfile


def the_shop() -> ShopProfile:
    """The one profile; before the owner has saved it, an unsaved one with the defaults."""
    return ShopProfile.objects.filter(pk=1).first() or ShopProfile(pk=1, name="Our shop")
