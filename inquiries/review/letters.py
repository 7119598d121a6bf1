"""What Today says of the correspondence: answers of ours, days set, mail that has not gone, first calls, offers."""

from datetime import date, datetime, timedelta

from django.db.models import Count, Min, Q, QuerySet
from django.urls import reverse

from inquiries.mail.models import ReceivedMail
from inquiries.mail.queries import to_sort
from inquiries.offers.models import Offer
from inquiries.review.lines import MOST, Due, Part
from inquiries.threads.models import Inquiry, Message
from inquiries.threads.queries import held_up, waiting_for_us
from inquiries.wants.call_actions import next_to_tell, reachable
from inquiries.wants.models import Call, FirstCall
from shop.hours.rules import OpenWeek, wait_in_words
from shop.money import Money

SOON = timedelta(days=1)
PIECE = ("instrument__kind", "instrument__maker", "instrument__model__maker")
PIECE_OF_THREAD = tuple(f"inquiry__{name}" for name in PIECE)
Said = Call.Said


def letters(week: OpenWeek, *, at: datetime) -> list[Part]:
    """The parts of the correspondence, in the order in which they are to be done."""
    inbox, waiting = reverse("inquiries"), waiting_for_us()
    again = to_look_at_again(at.astimezone(week.zone).date())
    return [
        Part(
            "questions",
            "Ours to answer",
            [_question(inquiry, week, at=at) for inquiry in waiting[:MOST]],
            inbox,
            waiting.count(),
        ),
        Part("follow-ups", "To look at again", again, inbox),
        Part("messages", "Mail that has not gone", messages_not_sent(at), inbox),
        Part("mail", "Mail to sort", mail_to_sort(), reverse("mail")),
        Part("first-calls", "First calls", first_calls(at), reverse("wants")),
        Part("offers", "Offers that lapse", offers_that_lapse(at), reverse("offers")),
    ]


def _question(inquiry: Inquiry, week: OpenWeek, *, at: datetime) -> Due:
    since = inquiry.waiting_since or at
    return Due(
        f"{inquiry.contact}, about {inquiry.heading}",
        f"Waiting {wait_in_words(since, at, week)}",
        reverse("inquiry", args=[inquiry.pk]),
        "Answer",
    )


def to_look_at_again(today: date) -> list[Due]:
    """Threads whose day has come, those whose day has gone by first; `today` is the shop's."""
    rows = Inquiry.objects.filter(follow_up_on__lte=today).select_related("contact", *PIECE)
    return [_again(inquiry, today) for inquiry in rows.order_by("follow_up_on", "pk")]


def _again(inquiry: Inquiry, today: date) -> Due:
    day = inquiry.follow_up_on or today
    late = (today - day).days
    when = (
        "Set for today" if not late else f"Set for {day:%-d %B %Y}, {late} day{'s' if late > 1 else ''} ago"
    )
    return Due(
        f"{inquiry.contact}, about {inquiry.heading}",
        f"{when}: {inquiry.follow_up_note}" if inquiry.follow_up_note else when,
        reverse("inquiry", args=[inquiry.pk]) + "#follow-up",
        "Look at it",
        over=late > 0,
    )


NO_WORKER = (
    "Nobody has taken it out to be sent. See that the shop’s worker runs: “manage.py serve” starts one."
)


def messages_not_sent(at: datetime) -> list[Due]:
    """Messages that may not have gone, that were refused and are tried again, or that no worker has taken out."""
    return [
        Due(
            f"To {message.inquiry.contact}, about {message.inquiry.heading}",
            message.trouble or NO_WORKER,
            reverse("inquiry", args=[message.inquiry_id]),
            "See the thread",
            message.at,
            over=message.delivery != Message.Delivery.WAITING,
            presses=(
                ("Try again", reverse("message-again", args=[message.pk])),
                ("Leave it", reverse("message-leave", args=[message.pk])),
            ),
        )
        for message in held_up(at=at).select_related("inquiry__contact", *PIECE_OF_THREAD)
    ]


def mail_to_sort() -> list[Due]:
    """How much mail waits for somebody to say where it belongs: one line, since it is sorted on its own page."""
    guessed = Count("pk", filter=Q(place=ReceivedMail.Place.GUESSED))
    found = to_sort().order_by().aggregate(number=Count("pk"), guessed=guessed, since=Min("received_at"))
    number, perhaps = found["number"], found["guessed"]
    if not number:
        return []
    notes = [
        *([f"{perhaps} perhaps of a thread"] if perhaps else []),
        *([f"{number - perhaps} of no thread that we know"] if number > perhaps else []),
    ]
    what = "A mail to sort" if number == 1 else f"{number} mails to sort"
    return [Due(what, " · ".join(notes), reverse("mail"), "Sort the mail", found["since"])]


def first_calls(at: datetime) -> list[Due]:
    """Open first calls: who wants the piece, whose time runs, and how many have not been told."""
    rows = FirstCall.objects.filter(ended_at__isnull=True).select_related(*PIECE)
    rows = rows.prefetch_related("calls__want__contact").order_by("opened_at", "pk")
    return [_first_call(call, at) for call in rows]


def _first_call(first: FirstCall, at: datetime) -> Due:
    calls = list(first.calls.all())
    wanted = [str(call.want.contact) for call in calls if call.said == Said.YES]
    running = [call for call in calls if call.said == Said.NOTHING and call.until and call.until > at]
    not_told = sum(call.said == Said.NOT_TOLD for call in calls)
    notes = [
        *(f"{name} wants it" for name in wanted),
        *(f"{call.want.contact} has been told" for call in running),
        *([f"{not_told} not told yet"] if not_told else []),
    ]
    piece, turn = first.instrument, next_to_tell(first, calls, at=at)
    where, deed = reverse("first-call", args=[piece.stock_id]), "See the first call"
    if turn and reachable(turn[0]):
        where, deed = reverse("call-tell", args=[turn[0].pk]), f"Write to {turn[0].want.contact}"
    elif turn:
        deed = f"Tell {turn[0].want.contact}"
    return Due(
        f"No. {piece.stock_id}, {piece.name}",
        " · ".join(notes) or "Nobody is left to be told.",
        where,
        deed,
        min((call.until for call in running if call.until), default=None),
        over=bool(wanted) or not running,
    )


def offers_that_lapse(at: datetime) -> list[Due]:
    """Offers without an end that lapse within a day, the next one first."""
    rows: QuerySet[Offer] = Offer.objects.filter(end__isnull=True, until__gt=at, until__lte=at + SOON)
    return [
        Due(
            f"{offer.inquiry.contact}, about No. {offer.instrument.stock_id}, {offer.instrument.name}",
            f"{Money(offer.amount, offer.currency)}{' and a trade-in' if offer.trade_in else ''}",
            reverse("inquiry", args=[offer.inquiry_id]) + "#offers",
            "See the offer",
            offer.until,
        )
        for offer in rows.select_related("inquiry__contact", *PIECE).order_by("until", "pk")
    ]
