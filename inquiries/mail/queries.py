"""Which thread a mail is of, whom it may be from, and what waits to be sorted."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from inquiries.mail.addresses import thread_of
from inquiries.mail.models import ReceivedMail
from inquiries.mail.reading import Reading
from inquiries.mail.rules import answers_to, bare_subject, stock_in
from inquiries.people.queries import known_by
from inquiries.threads.models import Inquiry, Message

Sort, Place = ReceivedMail.Sort, ReceivedMail.Place
MOST_IDS = 100
TO_SORT = Q(place=Place.GUESSED) | Q(
    place=Place.ASIDE, sort__in=[Sort.PERSON, Sort.UNREADABLE], seen_at__isnull=True
)


def to_sort() -> QuerySet[ReceivedMail]:
    """Mail that somebody must say where it belongs, the longest wait first."""
    return ReceivedMail.objects.filter(TO_SORT).order_by("received_at", "pk")


def laid_by() -> QuerySet[ReceivedMail]:
    """Mail that is in no thread and waits for nobody, the latest first."""
    return ReceivedMail.objects.exclude(TO_SORT).filter(place=Place.ASIDE).order_by("-received_at", "-pk")


def is_ours(header_id: str) -> bool:
    """Whether we sent the mail with this Message-ID."""
    return bool(header_id) and Message.objects.filter(message_id=header_id, ours=True).exists()


def thread_answered(reading: Reading) -> Inquiry | None:
    """The thread that a mail is of: by what it answers, or by the signed address that it went to."""
    # Its own Message-ID is first: a second copy of a mail, with another foot, belongs where the first is.
    known = _thread_of_ids([reading.header_id, *answers_to(reading.in_reply_to, reading.references)])
    if known is not None:
        return known
    numbers = [number for number in map(thread_of, reading.to) if number is not None]
    return Inquiry.objects.filter(pk__in=numbers[:1]).first()


def _thread_of_ids(ids: Iterable[str]) -> Inquiry | None:
    asked = list(filter(None, ids))[:MOST_IDS]
    if not asked:
        return None
    threads = dict(
        ReceivedMail.objects.filter(header_id__in=asked, message__isnull=False).values_list(
            "header_id", "message__inquiry"
        )
    ) | dict(Message.objects.filter(message_id__in=asked).values_list("message_id", "inquiry"))
    found = next((threads[one] for one in asked if one in threads), None)
    return Inquiry.objects.filter(pk=found).first() if found is not None else None


def message_reported(reading: Reading) -> Message | None:
    """The mail of ours that a report is about."""
    if reading.report is None:
        return None
    ids = [*reading.report.ids, *answers_to(reading.in_reply_to, reading.references)][:MOST_IDS]
    return Message.objects.filter(message_id__in=ids, ours=True).order_by("-at", "-pk").first()


def guess_for(email: str, subject: str) -> tuple[Inquiry | None, str]:
    """The thread that a mail is perhaps of, and why; the dealer confirms it."""
    threads = Inquiry.objects.select_related("contact", "instrument__maker", "instrument__model")
    contact = known_by(email)
    if contact is None:
        return _guess_by_subject(threads.filter(done_at__isnull=True), subject)
    open_ones = list(threads.filter(contact=contact, done_at__isnull=True)[:2])
    if len(open_ones) == 1:
        return open_ones[0], f"{contact.name} has one open thread, and it is this one."
    return _guess_by_subject(threads.filter(contact=contact), subject)


def _guess_by_subject(threads: QuerySet[Inquiry], subject: str) -> tuple[Inquiry | None, str]:
    """The only thread that the subject fits."""
    stock, bare = stock_in(subject), bare_subject(subject)
    if stock is not None and len(found := list(threads.filter(instrument__stock=stock)[:2])) == 1:
        return found[0], f"Its subject names no. {stock}, which only this thread is about."
    if bare and len(found := list(threads.filter(instrument=None, matter__iexact=bare)[:2])) == 1:
        return found[0], "Its subject is that of this thread alone."
    return None, ""


def strangers_in(inquiry: Inquiry, mail: Iterable[ReceivedMail]) -> set[int]:
    """Those mails of a thread that came from an address which is not the person's own, as far as we know."""
    theirs = set(inquiry.contact.other_addresses.values_list("email", flat=True)) | {inquiry.contact.email}
    known = {email.lower() for email in theirs}
    return {one.pk for one in mail if one.from_email and one.from_email.lower() not in known}


def threads_for(mail: ReceivedMail, words: str = "") -> list[Inquiry]:
    """Threads that a mail may be laid in: those that `words` name, or else its writer's and those of its subject."""
    threads = Inquiry.objects.select_related(
        "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
    ).order_by("done_at", "-last_at", "-pk")
    if words:
        return list(threads.filter(_named(words)).distinct()[:20])
    asked = Q(pk=mail.guess_id)
    if contact := known_by(mail.from_email):
        asked |= Q(contact=contact)
    if stock := stock_in(mail.subject):
        asked |= Q(instrument__stock=stock, done_at__isnull=True)
    return list(threads.filter(asked)[:20])


def _named(words: str) -> Q:
    named = Q()
    for word in words.split()[:6]:
        one = (
            Q(contact__name__icontains=word)
            | Q(contact__email__icontains=word)
            | Q(matter__icontains=word)
            | Q(instrument__maker__name__icontains=word)
            | Q(instrument__model__name__icontains=word)
        )
        if word.isdigit() and len(word) < 10:
            one |= Q(instrument__stock=int(word))
        named &= one
    return named
