"""The wording of mail to somebody who seeks. What a stranger typed is in none that a stranger can have sent."""

from shop.profile.models import ShopProfile

CONFIRM_MATTER = "Please confirm your wish"


def to_confirm(shop: ShopProfile, confirm: str, unsubscribe: str, days: int) -> str:
    """Asks whoever reads at an address whether they made the wish; their words are shown behind the link alone."""
    return (
        "Good day,\n\n"
        f"somebody gave this address on our pages and asked us to look out for an instrument. "
        "If it was you, please confirm it here:\n\n"
        f"{confirm}\n\n"
        "Only then do we look out for it, and write to you when such a piece comes in. "
        f"If it was not you, there is nothing to do: after {days} days what was written is removed.\n\n"
        f"{signed(shop)}\n{ending(unsubscribe)}"
    )


def signed(shop: ShopProfile) -> str:
    """Who writes."""
    lines = dict.fromkeys(filter(None, [shop.owner_name, shop.name, shop.telephone]))
    return "\n".join(lines) + "\n"


def ending(unsubscribe: str) -> str:
    """The last lines of every mail to somebody who seeks."""
    return f"-- \nNo more mail about this wish: {unsubscribe}\n"
