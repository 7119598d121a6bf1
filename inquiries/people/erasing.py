"""What goes and what stays when a person is erased.

General information, not legal advice: which papers must be kept, and how long, is a matter of the law of the place.
What stays, stays because tax and commercial law commonly require that invoices and ledgers be kept, and because the
shop must be able to show what it sold to whom (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from catalog.models import Acquisition
from inquiries.credit.queries import credits_of
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.offers.models import Offer
from inquiries.papers.models import IssuedPaper
from inquiries.people.models import Contact, OtherAddress, OwnedPiece, PostalAddress, Want
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.queries import IN_FORCE
from inquiries.threads.models import Inquiry, Message
from inquiries.wants.models import Call

ERASED = "Erased person"
BOOKS = (
    "Tax and commercial law commonly require a shop to keep invoices and ledgers for years. "
    "Ask your adviser how long where you are."
)
QUOTED = (
    "A quotation is a commercial letter, numbered and never changed, and the law commonly requires that it "
    "be kept for years. Ask your adviser how long where you are."
)
SALE_WORDS = "They show what was agreed on a sale, and belong to its papers."


@dataclass(frozen=True)
class Line:
    """One kind of thing: how many there are, and (of what stays) why."""

    what: str
    many: int
    why: str = ""


@dataclass(frozen=True)
class Plan:
    """What erasing a person would do; `refused` says why it cannot be done now."""

    goes: list[Line] = field(default_factory=list)
    stays: list[Line] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


class Traces:
    """Everything of one person and of those merged into them."""

    def __init__(self, contact: Contact) -> None:
        self.contact = contact
        self.people = everybody_in(contact)
        self.sales = Sale.objects.filter(contact__in=self.people)
        self.threads = Inquiry.objects.filter(contact__in=self.people)
        sold = self.sales.order_by().values("inquiry")
        pieces = self.sales.order_by().values("instrument")
        # A sale keeps the words of its own thread, and of others on the same piece.
        kept = Q(pk__in=sold) | Q(instrument__in=pieces)
        self.kept_threads = self.threads.filter(kept)
        self.lost_threads = self.threads.exclude(kept)
        self.messages = Message.objects.filter(inquiry__in=self.lost_threads.order_by().values("pk"))
        self.kept_messages = Message.objects.filter(inquiry__in=self.kept_threads.order_by().values("pk"))
        self.mails = ReceivedMail.objects.filter(
            Q(message__in=self.messages.order_by().values("pk"))
            | (_from(self.addresses) & ~Q(place="joined"))
        )
        self.kept_mails = ReceivedMail.objects.filter(message__in=self.kept_messages.order_by().values("pk"))
        self.files = Attachment.objects.filter(mail__in=self.mails.order_by().values("pk"))
        self.wants = Want.objects.filter(contact__in=self.people)
        self.holds = Hold.objects.filter(contact__in=self.people)

    @property
    def addresses(self) -> list[str]:
        """Every e-mail address of theirs."""
        others = OtherAddress.objects.filter(contact__in=self.people).values_list("email", flat=True)
        own = Contact.objects.filter(pk__in=self.people).exclude(email="").values_list("email", flat=True)
        return [*own, *others]

    def rows(self, model: type[OtherAddress | PostalAddress | OwnedPiece]) -> "QuerySet":  # type: ignore[type-arg]
        """Rows of a model that hang from the person."""
        return model._default_manager.filter(contact__in=self.people)


def everybody_in(contact: Contact) -> list[int]:
    """The keys of a person and of everybody merged into them, at any remove."""
    found = [contact.pk]
    newest = found
    while newest:
        newest = list(Contact.objects.filter(merged_into__in=newest).values_list("pk", flat=True))
        found = [*found, *newest]
    return found


def plan(contact: Contact) -> Plan:
    """What would go and what would stay, with the reasons, and what stands in the way."""
    traces = Traces(contact)
    return Plan(_going(traces), _staying(traces), in_the_way(traces))


def in_the_way(traces: Traces) -> list[str]:
    """Why the person cannot be erased now, a sentence each with what to do."""
    said = []
    if traces.contact.erased_at:
        said.append("This person has been erased already.")
    if into := traces.contact.merged_into:
        said.append(f"This contact was merged into {into}. Erase {into}.")
    for hold in traces.holds.filter(state__in=IN_FORCE).select_related("instrument"):
        said.append(
            f"They have a hold on No. {hold.instrument.stock_id}, or wait for it. Release it or let it end first."
        )
    for sale in traces.sales.filter(ended_at__isnull=True):
        said.append(f"Sale {sale.number} is open. Close it or end it first.")
    for person in Contact.objects.filter(pk__in=traces.people):
        for left in credits_of(person):
            said.append(f"They have {left} of store credit left. Let it be used, or pay it back first.")
    open_calls = Call.objects.filter(want__in=traces.wants, first_call__ended_at__isnull=True)
    for call in open_calls.select_related("first_call__instrument"):
        piece = call.first_call.instrument
        said.append(f"A first call for No. {piece.stock_id} is open to them. Let it end first.")
    return said


def _going(traces: Traces) -> list[Line]:
    lines = [
        Line("Name, e-mail, telephone, address, languages and private note", len(traces.people)),
        Line("Other e-mail addresses", traces.rows(OtherAddress).count()),
        Line("Other postal addresses", traces.rows(PostalAddress).count()),
        Line("Pieces noted as owned", traces.rows(OwnedPiece).count()),
        Line("Wishes, with what was said in first calls", traces.wants.count()),
        Line("Words of messages in threads without a sale", traces.messages.count()),
        Line("Mail as received, with its text and its file on the disk", traces.mails.count()),
        Line("Attachments and the pictures made of them, on the disk", traces.files.count()),
        Line(
            "What the history says of all this: the values go, the days and the deeds stay",
            len(traces.people),
        ),
    ]
    if traces.contact.resale_certificate and not traces.sales.exists():
        lines.append(Line("Resale certificate", 1))
    return [line for line in lines if line.many]


def papers_of(papers: "QuerySet[IssuedPaper]") -> "QuerySet[IssuedPaper]":
    """The papers of a sale that are for the buyer; a statement is for the consignor."""
    return papers.exclude(kind=IssuedPaper.Kind.STATEMENT)


def quotations_of(traces: Traces) -> "QuerySet[IssuedPaper]":
    """What they were quoted in writing."""
    return IssuedPaper.objects.filter(inquiry__in=traces.threads.order_by().values("pk"))


def _staying(traces: Traces) -> list[Line]:
    offers = Offer.objects.filter(inquiry__in=traces.threads.order_by().values("pk"))
    all_papers = papers_of(IssuedPaper.objects.filter(sale__in=traces.sales))
    receipts = all_papers.filter(kind=IssuedPaper.Kind.RECEIPT)
    papers = all_papers.exclude(kind=IssuedPaper.Kind.RECEIPT)
    quotations = quotations_of(traces)
    lines = [
        Line(
            "Sales, with their ledgers, instalments, store credit, parcels and history",
            traces.sales.count(),
            BOOKS,
        ),
        Line("Receipts, with the name and the address printed on them", receipts.count(), BOOKS),
        Line("Other papers of a sale, with the name and the address printed on them", papers.count(), BOOKS),
        Line("Quotations, with the name and the address printed on them", quotations.count(), QUOTED),
        Line("Messages in threads about a piece they bought", traces.kept_messages.count(), SALE_WORDS),
        Line("Mail as received in those threads, with attachments", traces.kept_mails.count(), SALE_WORDS),
        Line(
            "Offers, without a name", offers.count(), "An offer is a fact of the piece and is never changed."
        ),
        Line(
            "Holds that have ended, without a name",
            traces.holds.exclude(state__in=IN_FORCE).count(),
            "They show that the queue was kept in order.",
        ),
        Line(
            "Purchases from somebody of this name",
            Acquisition.objects.filter(seller__iexact=traces.contact.name).count(),
            f"They are books of the shop, and are not joined to this person. {BOOKS}",
        ),
    ]
    if traces.contact.resale_certificate and traces.sales.exists():
        lines.append(Line("Resale certificate", 1, f"It says why no tax was charged. {BOOKS}"))
    return [line for line in lines if line.many]


def _from(addresses: Sequence[str]) -> Q:
    said = Q(pk__in=[])
    for address in addresses:
        said |= Q(from_email__iexact=address)
    return said
