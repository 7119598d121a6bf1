"""The pages that are measured: every address of the site that answers with a whole page, with samples."""

from collections.abc import Iterator

from django.test import Client

from catalog.desk.forms.kinds import SHEETS
from catalog.desk.sections import SECTIONS
from tests.support.addresses import all_addresses
from tests.world import World

OK = 200
NOWHERE, LOG_IN = "/nothing-is-here/", "/desk/log-in/"
FORMS = ("/instruments/{stock}/ask/", "/wanted/", LOG_IN)


def whole_pages(world: World, client: Client) -> dict[str, bytes]:
    """Each address that gives `client` a page, with that page."""
    found = {}
    for path in dict.fromkeys(all_paths(world)):
        answer = client.get(path)
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        whole = b"</html>" in body  # a part, as htmx fetches it, is seen in its page
        if whole and (answer.status_code == OK or path == NOWHERE):
            found[path] = body
    return found


def all_paths(world: World) -> Iterator[str]:
    """Every address once with the samples of the world, and what the samples leave out."""
    for address in all_addresses():
        yield address.path(world.samples)
    record = f"/desk/stock/{world.listed.stock_id}/"
    for section in SECTIONS:
        if section.form is not None:
            yield f"{record}{section.slug}/"
    for what in SHEETS:
        yield f"/desk/kinds/{world.listed.kind.slug}/{what}/"
    yield world.sold.get_absolute_url()
    yield f"/desk/stock/{world.sold.stock_id}/"
    yield f"/instruments/?kind={world.listed.kind.slug}"
    yield "/instruments/?q=nothing+of+the+sort"
    yield "/instruments/?price_from=much"
    yield "/desk/mail/?show=laid-by"
    yield "/desk/inquiries/?show=all"
    yield NOWHERE
