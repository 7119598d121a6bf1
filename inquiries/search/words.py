"""The words that a thread says: those of its letters, of who wrote them, of its person and of its piece."""

from collections import defaultdict
from collections.abc import Collection, Iterator

from django.db.models.functions import Substr

from catalog.search.rules import said_in
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.threads.models import Inquiry, Message
from shop.wording import in_own

LONGEST_READ = 400_000  # characters of one letter; what stands behind them is not found


def words_of_threads(keys: Collection[int]) -> dict[int, dict[str, bool]]:
    """For each thread: every word it says, and whether its name does. Six queries, however many threads."""
    with in_own():  # a question may be asked on a page in any language
        names = names_of_threads(keys)
        texts = defaultdict(list)
        for inquiry, text in _texts(keys):
            texts[inquiry].append(text)
        return {inquiry: said_in(name, texts[inquiry]) for inquiry, name in names.items()}


def names_of_threads(keys: Collection[int]) -> dict[int, list[str]]:
    """For each thread: its person by name, its piece by stock number, title and kind, or its matter."""
    threads = Inquiry.objects.filter(pk__in=keys).select_related(
        "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
    )
    return {thread.pk: [thread.contact.name, *_about(thread)] for thread in threads}


def _about(thread: Inquiry) -> list[str]:
    if (piece := thread.instrument) is None:
        return [thread.matter]
    return [str(piece.stock_id), piece.title, piece.kind.name]


def _texts(keys: Collection[int]) -> Iterator[tuple[int, str]]:
    """What was said, by whom, under which subject, and what was sent along; whose thread it is before each."""
    yield from Inquiry.objects.filter(pk__in=keys).values_list("pk", "contact__email")
    said = Message.objects.filter(inquiry__in=keys)
    begins, quotes = Substr("body", 1, LONGEST_READ), Substr("quoted", 1, LONGEST_READ)
    for inquiry, body, quoted in said.order_by().values_list("inquiry", begins, quotes):
        yield inquiry, body
        yield inquiry, quoted
    mails = ReceivedMail.objects.filter(message__inquiry__in=keys).order_by()
    for inquiry, *head in mails.values_list("message__inquiry", "subject", "from_name", "from_email"):
        yield from ((inquiry, text) for text in head)
    files = Attachment.objects.filter(mail__message__inquiry__in=keys).order_by()
    yield from files.values_list("mail__message__inquiry", "name")
