"""Today: everything that waits for somebody at the desk, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.timesince import timesince

from catalog.models import Instrument, Photograph
from catalog.publishing.readiness import missing_for_publishing, questions_by_record
from inquiries.audit.queries import last_findings
from inquiries.cash.queries import Warned, cautions_open
from inquiries.instalments.queries import instant_after
from inquiries.mail.models import MailFolder
from inquiries.returns.models import Inspection
from inquiries.review.consigned import agreements_that_end, jobs_out, share_to_pay
from inquiries.review.letters import SOON, letters
from inquiries.review.lines import Due, Part
from inquiries.review.next_of_sale import money_to_clear, next_of_sale
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.prospects import with_notices
from inquiries.sales.queries import facts_of, holds_in_force, still_to_be_told, with_rows
from inquiries.sales.telling import Row, What, row_of
from inquiries.sales.way_rules import Next, what_next
from inquiries.shipping.damage import damage_waits
from inquiries.wants.queries import Seeker, seekers_of
from shop.hours.queries import open_week
from shop.jobs.models import Job
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.models import User

NEARLY = 3  # a draft that lacks no more than this is nearly ready

WORK = {
    "catalog.pictures.tasks.prepare": "A photograph could not be prepared",
    "inquiries.threads.sending.send_message": "A message could not be sent",
    "inquiries.mail.tasks.prepare_picture": "A picture that came with a mail could not be prepared",
    "inquiries.sales.hold_actions.settle_when_due": "The end of a hold could not be entered in the books",
}


def due_today(*, user: User, at: datetime) -> list[Part]:
    """The parts that have something in them. What concerns a consignor is for the owner alone."""
    sale_list, shop = reverse("sales"), the_shop()
    today = at.astimezone(shop.zone).date()
    cash = [_of_cash(warned, shop) for warned in cautions_open(shop, at=at)] if user.is_owner else []
    ending = agreements_that_end(today) if user.is_owner else []
    parts = [
        *letters(open_week(shop), at=at),
        Part("mailboxes", "Mailbox out of reach", mailboxes(), reverse("mail")),
        Part("holds", "Holds", holds(at), reverse("inquiries")),
        Part("sales", "Sales", sales(shop, at=at, owner=user.is_owner), sale_list),
        Part("cash", "Cash to be reported", cash, reverse("cash-limits")),
        Part("agreements", "Agreements that end", ending, reverse("stock")),
        Part("jobs", "Out for repair or set-up", jobs_out(today), reverse("stock")),
        Part("pictures", "Pictures", pictures(), reverse("stock")),
        Part("books", "Books that do not add up", books() if user.is_owner else [], reverse("today")),
        Part("work", "Work that failed", failed_work(), reverse("today")),
        Part("drafts", "Drafts nearly ready", drafts(at), reverse("stock")),
    ]
    return [part for part in parts if part.items]


def books() -> list[Due]:
    """What was not in order when the books were last gone through."""
    return [
        Due(
            found.where,
            f"{found.what} {found.remedy}",
            found.page or reverse("today"),
            "Look at it",
            over=True,
        )
        for found in last_findings()
    ]


def mailboxes() -> list[Due]:
    """Mailboxes that cannot be looked into, so that mail may be waiting there."""
    troubled = MailFolder.objects.exclude(trouble="").order_by("name")
    return [Due(one.name, one.trouble, reverse("mail"), "Look at the mail", over=True) for one in troubled]


def holds(at: datetime) -> list[Due]:
    """Holds that end within a day; those whose person does not know of their turn or end, or knows other times."""
    standing = with_notices(holds_in_force().exclude(until__lte=at)).order_by("until", "pk")
    found = [item for hold in standing for item in _of_hold(row_of(hold, at=at), at)]
    return [*found, *(_of_released(hold) for hold in still_to_be_told())]


def _of_released(hold: Hold) -> Due:
    """Somebody who had it or waited was released, and does not know."""
    note = f"{hold.reason}. They have not been told yet." if hold.reason else "They have not been told yet."
    where = f"{reverse('hold-tell', args=[hold.pk])}?what={What.ENDED}"
    return Due(
        f"Hold has ended, to be told: {_named(hold.instrument)}, for {hold.contact}",
        note,
        where,
        "Tell them",
        hold.ended_at,
    )


def _of_hold(row: Row, at: datetime) -> Iterable[Due]:
    hold, tell = row.hold, reverse("hold-tell", args=[row.hold.pk])
    whose = f"{_named(hold.instrument)}, for {hold.contact}"
    if not row.runs:
        if row.told_otherwise:
            yield Due(
                f"Place in the queue has moved: {whose}",
                "They were told another time.",
                f"{tell}?what={row.to_mend}",
                "Tell them",
                hold.starts_at,
            )
        return
    if hold.until and hold.until <= at + SOON:
        note = f"Ends in {timesince(at, hold.until)}"
        yield Due(
            f"Hold ends: {whose}", note, reverse("deposit", args=[hold.pk]), "Take a deposit", hold.until
        )
    moved = next((telling for telling in row.tellings if telling.what == What.MOVED_UP), None)
    if moved and not moved.told:
        where = f"{tell}?what={What.MOVED_UP}"
        yield Due(
            f"Hold has moved up: {whose}", "They have not been told yet.", where, "Tell them", moved.since
        )
    elif row.told_otherwise:
        yield Due(
            f"Hold has another end than they know: {whose}",
            "They were told another time.",
            f"{tell}?what={row.to_mend}",
            "Tell them",
            hold.until,
        )


def sales(shop: ShopProfile, *, at: datetime, owner: bool) -> list[Due]:
    """What each open sale waits for; for the owner, the consignors who have still to be paid as well."""
    wanted = Q(ended_at__isnull=True)
    if owner:
        wanted |= Q(
            outcome=Sale.Outcome.CLOSED,
            payout__isnull=True,
            instrument__acquisition__commission_percent__isnull=False,
        )
    found = [item for sale in with_rows(Sale.objects.filter(wanted)) for item in _of_sale(sale, shop, at)]
    return sorted(found, key=lambda item: (not item.over, item.when is None, item.when or at))


def _of_sale(sale: Sale, shop: ShopProfile, at: datetime) -> Iterable[Due]:
    facts, page = facts_of(sale), reverse("sale", args=[sale.number])
    whose = f"{_named(sale.instrument)}, to {sale.contact}"
    if sale.ended_at:
        yield from share_to_pay(sale, whose, shop, at=at)
        return
    if facts.uncleared and what_next(facts, at=at) != Next.CLEAR:
        yield money_to_clear(sale, facts, whose, at)
    yield next_of_sale(sale, facts, whose, shop, at=at)
    if damage := damage_waits(sale, at=at):
        note = f"By the end of {damage.said} where the buyer is"
        went, asked = f"{page}#went", "Ask how it came"
        yield Due(f"Damage can be reported: {whose}", note, went, asked, damage.until, damage.last)


def _of_cash(warned: Warned, shop: ShopProfile) -> Due:
    """A report of cash that is not written down as filed."""
    row, due = warned.passed_on, warned.report.due
    page = reverse("sale", args=[row.sale.number])
    return Due(
        f"Report of cash: {row.sale.contact}",
        f"Due on {due:%-d %B %Y}",
        f"{page}#cash-{row.pk}",
        "Write down that it is filed",
        instant_after(due, shop.zone),
        due,
        over=warned.overdue,
    )


def pictures() -> list[Due]:
    """Records with pictures refused, or still being prepared."""
    by_record: dict[Instrument, list[Photograph]] = defaultdict(list)
    not_ready = Photograph.objects.exclude(state=Photograph.State.READY).select_related(
        "instrument__kind", "instrument__maker", "instrument__model__maker"
    )
    for photograph in not_ready.order_by("instrument", "position"):
        by_record[photograph.instrument].append(photograph)
    found = [_of_pictures(instrument, kept) for instrument, kept in by_record.items()]
    return sorted(found, key=lambda item: not item.over)


def _of_pictures(instrument: Instrument, kept: list[Photograph]) -> Due:
    refused = [photograph.refusal for photograph in kept if photograph.state == Photograph.State.REFUSED]
    waiting = len(kept) - len(refused)
    notes = [*refused, *([f"{waiting} being prepared"] if waiting else [])]
    where = reverse("pictures", args=[instrument.stock_id])
    return Due(
        f"Pictures of {_named(instrument)}", " · ".join(notes), where, "See the pictures", over=bool(refused)
    )


def failed_work() -> list[Due]:
    """Background work that was given up, in plain words."""
    found = Job.objects.filter(state=Job.State.FAILED).order_by("-due", "-pk")
    return [
        Due(
            WORK.get(job.task, "A piece of background work could not be done"),
            f"Tried {job.tries} times. {_plain(job)}",
            reverse("work-again", args=[job.pk]),
            "Try again",
            job.due,
            over=True,
            job=job.pk,
        )
        for job in found
    ]


def _plain(job: Job) -> str:
    """What went wrong, without the program's name for it."""
    return job.error.partition(": ")[2] or job.error


def drafts(at: datetime) -> list[Due]:
    """Drafts that came back to be looked at again; then those that lack little, those that lack least first; of those
    that lack nothing, who seeks such a piece."""
    rows = (
        Instrument.objects.named()
        .filter(state=Instrument.State.DRAFT)
        .prefetch_related("photographs", "findings", "kind__views")
    )
    again = {one.sale.instrument_id: one for one in _came_back()}
    others = (row for row in rows if row.pk not in again)
    nearly = [(row, missing) for row in others if len(missing := missing_for_publishing(row)) <= NEARLY]
    claimed = questions_by_record(row for row, _ in nearly)
    whole = [(row, [*there, *claimed.get(row.pk, [])]) for row, there in nearly]
    sought = seekers_of([row for row, missing in whole if not missing], at=at)
    found = [(len(missing), _of_draft(row, missing, sought.get(row.pk, []))) for row, missing in whole]
    back = [_of_come_back(row, again[row.pk]) for row in rows if row.pk in again]
    return [*back, *(item for _, item in sorted(found, key=lambda pair: pair[0]))]


def _came_back() -> QuerySet[Inspection]:
    """Of pieces that are drafts, since they came back not as they were sent: how each was found, the last one last."""
    return (
        Inspection.objects.filter(
            verdict=Inspection.Verdict.DIFFERS, sale__instrument__state=Instrument.State.DRAFT
        )
        .select_related("sale")
        .prefetch_related("lines")
        .order_by("at", "pk")
    )


def _of_come_back(instrument: Instrument, found: Inspection) -> Due:
    what = "; ".join(str(line) for line in found.lines.all() if not line.alike)
    where, deed = reverse("record", args=[instrument.stock_id]), "Go through the record"
    note = f"It came back not as it was sent. {what}. Go through its record before you publish it again."
    return Due(f"To be looked at again: {_named(instrument)}", note, where, deed, found.at)


def _of_draft(instrument: Instrument, missing: list[Any], seekers: list[Seeker]) -> Due:
    if not missing and seekers:
        where = reverse("first-call", args=[instrument.stock_id])
        return Due(_named(instrument), _sought(seekers), where, "See who seeks it")
    if not missing:
        where = reverse("preview", args=[instrument.stock_id])
        return Due(_named(instrument), "Nothing is missing.", where, "Look and publish")
    note = f"Before it can go out: {'; '.join(item.says for item in missing)}."
    return Due(_named(instrument), note, reverse("record", args=[instrument.stock_id]), "Go on with it")


def _sought(seekers: list[Seeker]) -> str:
    """Who hears of it first, with the reasons, and how many more seek it."""
    first, *others = seekers
    more = f" {len(others)} more seek{'s' if len(others) == 1 else ''} such a piece." if others else ""
    return f"Nothing is missing. {first.want.contact} seeks such a piece. {' '.join(first.reasons)}{more}"


def _named(instrument: Instrument) -> str:
    return f"No. {instrument.stock_id}, {instrument.name}"
