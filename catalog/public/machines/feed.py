"""What was newly listed, as an Atom feed (RFC 4287)."""

from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from urllib.parse import urlsplit

from django.template.defaultfilters import linebreaks  # type: ignore[attr-defined] # the stubs have it not
from django.utils.feedgenerator import Atom1Feed

from catalog.public.shown.entries import Entry
from shop.profile.models import ShopProfile

# Nothing is listed in an empty shop, and a feed must have an instant all the same.
NOTHING_YET = datetime(1970, 1, 1, tzinfo=UTC)


class ShopFeed(Atom1Feed):
    """A feed whose instant is that of its newest entry, also when it has none."""

    def latest_post_date(self) -> datetime:
        """When the newest entry changed."""
        return max((item["updateddate"] for item in self.items), default=NOTHING_YET)


def feed(entries: Iterable[Entry], *, shop: ShopProfile, address: str, at: Callable[[str], str]) -> ShopFeed:
    """The entries under the shop's name; `address` is that of the feed itself, `at` makes whole addresses."""
    made = ShopFeed(
        title=f"{shop.name}, newly listed",
        link=at("/"),
        description="",
        subtitle=shop.tagline,
        author_name=shop.name,
        author_link=at("/"),
        feed_url=address,
        feed_guid=tag_of(at("/"), NOTHING_YET, "newly-listed"),
        language="en",
    )
    for entry in entries:
        link = at(entry.address)
        made.add_item(
            title=entry.title,
            link=link,
            description=linebreaks(entry.says, autoescape=True),  # RFC 4287, section 3.1.1.2: it is HTML
            unique_id=tag_of(link, entry.listed, f"no.{entry.stock}"),
            pubdate=entry.listed,
            updateddate=entry.changed,
        )
    return made


def tag_of(address: str, since: datetime, what: str) -> str:
    """A name that stays when the address changes (RFC 4151): whose, since which day, and what."""
    return f"tag:{urlsplit(address).hostname},{since.astimezone(UTC):%Y-%m-%d}:{what}"
