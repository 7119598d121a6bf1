"""A piece that comes back: announced in time, dropped, compared line by line, and settled."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Finding, Instrument
from catalog.pictures.actions import remove
from inquiries.audit.actions import audit
from inquiries.desk.sale_page import proposed_refund
from inquiries.models import Hold, Inspection, InspectionLine, ReturnCall, Sale, Shipment
from inquiries.papers.issuing import issue_paper
from inquiries.returns.actions import announce, drop, inspect
from inquiries.review.due import drafts, holds
from inquiries.sales.actions import close_sale, deliver, end_without_sale, ship
from inquiries.sales.queries import facts_of, running_hold
from inquiries.sales.rules import ALLOWED, OPEN, Stage, Step, stage
from inquiries.sales.way_rules import Deadlines, Who, next_move
from inquiries.shipping.parcel_actions import record_loss
from shop.profile.queries import the_shop
from shop.refusal import Refused
from tests.factories import NOON, OwnerFactory, PhotographFactory, ShopFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import MINUTE, back, delivered, entry, fresh, held, opened, received, sent, settle

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def sale() -> Sale:
    """Delivered a minute after noon; the approval period is 48 hours."""
    return delivered(opened(), at=NOON)


def call(sale: Sale, *, said_at: object, **fields: str) -> ReturnCall:
    """The buyer's word, unsaved."""
    return ReturnCall(sale=sale, said_at=said_at, why="The neck does not suit", **fields)


def found_wrong(at: datetime) -> list[str]:
    """What the audit finds of sales and pieces."""
    return [str(found) for found in audit(at=at) if found.where.startswith(("Sale", "No."))]


def stage_of(sale: Sale, at: object) -> Stage:
    """The stage as computed, which the copy must equal."""
    found = stage(facts_of(fresh(sale)), at=at)  # type: ignore[arg-type]
    assert fresh(sale).stage == found.name
    return found


def test_the_word_of_the_buyer_stops_the_way_to_closing(sale: Sale) -> None:
    announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + 2 * HOUR)
    assert stage_of(sale, NOON + 3 * HOUR) == Stage.COMING_BACK
    with pytest.raises(Refused) as refusal:
        close_sale(sale, by=None, at=NOON + 5 * DAY)
    assert "Coming back" in refusal.value.message


@pytest.mark.parametrize(
    ("said", "reason", "code"),
    [
        (MINUTE + 48 * HOUR - timedelta(microseconds=1), "", None),
        (MINUTE + 48 * HOUR, "", "too-late"),
        (MINUTE + 48 * HOUR, "The buyer lay in hospital", None),
        (timedelta(0), "", "return-out-of-order"),
        (6 * DAY, "", "return-out-of-order"),
    ],
)
def test_the_period_counts_from_delivery_to_its_last_instant(
    sale: Sale, said: timedelta, reason: str, code: str | None
) -> None:
    word = call(sale, said_at=NOON + said, late_reason=reason)
    if code is None:
        assert announce(word, by=None, at=NOON + 5 * DAY).pk
        return
    with pytest.raises(Refused) as refusal:
        announce(word, by=None, at=NOON + 5 * DAY)
    assert refusal.value.code == code
    assert not ReturnCall.objects.exists()


def test_two_presses_are_one_word(sale: Sale) -> None:
    first = announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + 2 * HOUR)
    assert announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + 3 * HOUR) == first


def test_a_buyer_who_keeps_it_goes_on_where_the_sale_stood_and_may_change_their_mind_again(
    sale: Sale,
) -> None:
    announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + 2 * HOUR)
    drop(sale, why="It grew on me", by=None, at=NOON + 3 * HOUR)
    assert stage_of(sale, NOON + 3 * HOUR) == Stage.APPROVAL
    announce(call(sale, said_at=NOON + 4 * HOUR), by=None, at=NOON + 4 * HOUR)
    assert stage_of(sale, NOON + 4 * HOUR) == Stage.COMING_BACK
    assert fresh(sale).return_calls.count() == 2


def test_the_verdict_follows_from_the_lines(sale: Sale) -> None:
    assert back(sale, at=NOON + DAY).inspection.verdict == Inspection.Verdict.AS_SENT
    other = delivered(opened(), at=NOON)
    found = back(other, at=NOON + DAY, differs="A crack at the heel").inspection
    assert found.verdict == Inspection.Verdict.DIFFERS
    assert [line.note for line in found.lines.all()] == ["A crack at the heel"]
    assert stage_of(other, NOON + DAY) == Stage.BACK


def test_nothing_compared_is_refused(sale: Sale) -> None:
    announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + 2 * HOUR)
    with pytest.raises(Refused) as refusal:
        inspect(Inspection(sale=sale, came_at=NOON + DAY), [], by=None, at=NOON + DAY)
    assert refusal.value.code == "nothing-compared"


@pytest.mark.parametrize(("paid_back", "kept"), [("12500.00", "0"), ("12000.00", "500.00")])
def test_what_is_not_paid_back_is_charged_as_kept_and_the_ledger_is_nil(
    sale: Sale, paid_back: str, kept: str
) -> None:
    back(sale, at=NOON + DAY)
    end_without_sale(sale, reason="Crack", money=received(paid_back), by=None, at=NOON + DAY)
    facts = facts_of(fresh(sale))
    assert (facts.balance, facts.paid) == (0, Decimal(kept))
    charges = {row.kind: row.amount for row in fresh(sale).rows.all() if row.kind == "restocking"}
    assert charges == ({"restocking": Decimal(kept)} if Decimal(kept) else {})
    assert stage_of(sale, NOON + DAY) == Stage.RETURNED


def test_every_stage_but_the_ends_has_a_way_on() -> None:
    for one in OPEN:
        assert any(
            one in stages for step, stages in ALLOWED.items() if step not in {Step.REFUND, Step.REVERSE}
        )
    assert set(ALLOWED) == set(Step)


def test_a_photograph_that_was_compared_stays(sale: Sale) -> None:
    picture = PhotographFactory(instrument=sale.instrument)
    announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + HOUR)
    line = InspectionLine(what="Front", photograph=picture, alike=True)
    inspect(Inspection(sale=sale, came_at=NOON + DAY), [line], by=None, at=NOON + DAY)
    with pytest.raises(Refused):
        remove(picture, by=None, at=NOON + DAY)


class TestNotAsItWasSent:
    """A piece whose listing is not true any more is promised to nobody until it is published again."""

    def test_it_is_off_the_listing_and_whoever_waited_is_to_be_told(self, sale: Sale) -> None:
        behind = held(sale.instrument, at=NOON)
        back(sale, at=NOON + DAY, differs="A crack at the heel")
        piece = Instrument.objects.get(pk=sale.instrument_id)
        behind.refresh_from_db()
        assert (piece.state, behind.state) == (Instrument.State.DRAFT, Hold.State.RELEASED)
        (due,) = holds(NOON + DAY)
        assert due.what.startswith("Hold has ended, to be told: ")
        assert due.note.startswith("It came back from another buyer, not as it was sent. ")
        with pytest.raises(Refused, match="Publish it first"):
            held(piece, at=NOON + DAY)
        assert found_wrong(NOON + DAY) == []
        end_without_sale(fresh(sale), reason="Crack", money=received("12500.00"), by=None, at=NOON + DAY)
        piece.refresh_from_db()
        assert piece.state == Instrument.State.DRAFT
        assert running_hold(piece, at=NOON + DAY) is None
        assert found_wrong(NOON + DAY) == []

    def test_it_stands_on_today_until_it_is_published_again(self, sale: Sale) -> None:
        back(sale, at=NOON + DAY, differs="A crack at the heel")
        (due,) = drafts(NOON + DAY)
        assert due.what.startswith(f"To be looked at again: No. {sale.instrument.stock_id}, ")
        assert "Neck: A crack at the heel" in due.note
        assert due.href == reverse("record", args=[sale.instrument.stock_id])
        Instrument.objects.filter(pk=sale.instrument_id).update(state=Instrument.State.LISTED)
        assert drafts(NOON + DAY) == []
        assert held(sale.instrument, at=NOON + DAY).state == Hold.State.QUEUED

    def test_as_it_was_sent_it_stays_listed_and_the_queue_waits(self, sale: Sale) -> None:
        behind = held(sale.instrument, at=NOON)
        back(sale, at=NOON + DAY)
        behind.refresh_from_db()
        sale.instrument.refresh_from_db()
        assert (sale.instrument.state, behind.state) == (Instrument.State.LISTED, Hold.State.QUEUED)
        assert drafts(NOON + DAY) == holds(NOON + DAY) == []


class TestUndelivered:
    """What the buyer refused, or the carrier could not deliver, comes back though nobody had it."""

    @pytest.fixture
    def gone(self) -> Sale:
        """Sent at noon, and nothing was heard of it."""
        ShopFactory()
        return sent(opened(), at=NOON)

    @pytest.mark.parametrize("lost", [False, True])
    def test_it_is_announced_inspected_and_settled_as_any_return(self, gone: Sale, lost: bool) -> None:
        behind = held(gone.instrument, at=NOON)
        if lost:
            record_loss(gone, what="It cannot be found", claim="77", by=None, at=NOON + HOUR)
        word = announce(call(fresh(gone), said_at=NOON + DAY), by=None, at=NOON + DAY)
        assert stage_of(gone, NOON + DAY) == Stage.COMING_BACK
        assert facts_of(fresh(gone)).approval_until is None
        move = next_move(facts_of(fresh(gone)), Deadlines(), at=NOON + DAY)
        assert move.who == Who.CARRIER
        with pytest.raises(Refused) as refusal:
            end_without_sale(fresh(gone), reason="x", money=None, by=None, at=NOON + DAY)
        assert refusal.value.message.endswith("Next: Look at it when it is here, and enter how it came back.")
        line = InspectionLine(what="Neck", alike=True)
        inspect(Inspection(sale=fresh(gone), came_at=NOON + 2 * DAY), [line], by=None, at=NOON + 2 * DAY)
        assert stage_of(gone, NOON + 2 * DAY) == Stage.BACK
        assert proposed_refund(fresh(gone)) == Decimal(12500)
        money = received("12500.00")
        end_without_sale(fresh(gone), reason=word.why, money=money, by=None, at=NOON + 3 * DAY)
        assert stage_of(gone, NOON + 3 * DAY) == Stage.RETURNED
        gone.instrument.refresh_from_db()
        behind.refresh_from_db()
        assert (gone.instrument.state, behind.state, behind.starts_at) == ("listed", "active", NOON + 3 * DAY)
        assert found_wrong(NOON + 3 * DAY) == []

    @pytest.mark.parametrize("lost", [False, True])
    def test_what_goes_on_to_the_buyer_stands_where_it_stood(self, gone: Sale, lost: bool) -> None:
        if lost:
            record_loss(gone, what="It cannot be found", claim="", by=None, at=NOON + HOUR)
        announce(call(fresh(gone), said_at=NOON + DAY), by=None, at=NOON + DAY)
        with pytest.raises(Refused) as refusal:
            deliver(fresh(gone), delivered_at=NOON + DAY, note="", by=None, at=NOON + DAY)
        assert refusal.value.code == "step-not-allowed"
        drop(fresh(gone), why="The carrier tries once more", by=None, at=NOON + DAY)
        assert stage_of(gone, NOON + DAY) == (Stage.LOST if lost else Stage.SHIPPED)
        deliver(fresh(gone), delivered_at=NOON + 2 * DAY, note="", by=None, at=NOON + 2 * DAY)
        assert stage_of(gone, NOON + 2 * DAY) == Stage.APPROVAL

    @pytest.mark.parametrize("said", [-MINUTE, 2 * DAY])
    def test_it_is_known_after_it_was_sent(self, gone: Sale, said: timedelta) -> None:
        with pytest.raises(Refused, match="between the day it was sent and now"):
            announce(call(gone, said_at=NOON + said), by=None, at=NOON + DAY)

    def test_what_was_handed_over_does_not_come_back_undelivered(self) -> None:
        ShopFactory()
        gone = settle(opened(), at=NOON)
        taken = Shipment(collected_by="Orrin Pell", identity="Passport")
        ship(gone, taken, by=OwnerFactory(), at=NOON)
        with pytest.raises(Refused, match="Record the delivery first"):
            announce(call(fresh(gone), said_at=NOON), by=None, at=NOON)

    def test_at_the_desk(self, client: Client, gone: Sale, clock: Clock) -> None:
        client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
        clock.at = NOON + DAY
        page = reverse("sale", args=[gone.number])
        shown = client.get(page).text
        assert "It comes back undelivered" in shown
        assert "Refused by the buyer, or returned by the carrier: why" in shown
        assert "late_reason" not in shown
        typed = {"said_at": "2026-06-10T09:00", "why": "Nobody at home three times"}
        assert client.post(reverse("sale-return", args=[gone.number]), typed | {"why": ""}).status_code == 200
        assert client.post(reverse("sale-return", args=[gone.number]), typed).status_code == 302
        shown = client.get(page).text
        assert "Nobody at home three times" in shown
        assert "It goes on to the buyer after all" in shown
        assert "Undelivered, and not looked at yet" in client.get(reverse("today")).text
        compare = reverse("sale-inspection", args=[gone.number])
        assert "It comes back undelivered, known since" in client.get(compare).text
        given = {"rest": "on", "came_at": "2026-06-10T10:00", "note": ""}
        assert client.post(compare, given).status_code == 302
        assert "Settle the return" in client.get(page).text
        note = issue_paper("return", fresh(gone), entry=entry(), by=None, at=clock.at)
        assert ["Delivered", "Never: it came back undelivered"] in note.content["facts"]


class TestPages:
    """The same at the desk."""

    @pytest.fixture
    def owners(self, client: Client) -> Client:
        """Logged in."""
        client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
        return client

    def test_a_refused_form_comes_back_with_what_was_typed(self, owners: Client, sale: Sale) -> None:
        typed = {"said_at": "2020-01-01T12:00", "why": "It rattles on the D string"}
        page = owners.post(reverse("sale-return", args=[sale.number]), typed)
        assert page.status_code == 200
        assert "between the delivery and now" in page.text
        assert "It rattles on the D string" in page.text

    def test_each_line_of_the_record_is_asked_and_none_is_assumed(self, owners: Client, sale: Sale) -> None:
        part = sale.instrument.kind.parts.exclude(parent=None).first()
        assert part is not None
        Finding.objects.create(
            instrument=sale.instrument, part=part, state="original", evidence="x", examined_at=NOON
        )
        announce(call(sale, said_at=NOON + HOUR), by=None, at=NOON + HOUR)
        address = reverse("sale-inspection", args=[sale.number])
        form = owners.get(address).context["form"]
        keys = [one.key for one in form.compared]
        assert len(keys) == len(set(keys)) > 5
        typed = {
            "came_at": form["came_at"].value().astimezone(the_shop().zone).strftime("%Y-%m-%dT%H:%M"),
            keys[0]: "differs",
        }
        page = owners.post(address, typed)
        assert "Say what differs." in page.text
        assert "Some lines are not answered." in page.text
        assert not Inspection.objects.exists()
        typed |= {f"{keys[0]}-note": "Another number", "rest": "on"}
        assert owners.post(address, typed).status_code == 302
        found = Inspection.objects.get()
        assert (found.verdict, found.lines.count()) == ("differs", len(keys))
        shown = owners.get(reverse("sale", args=[sale.number])).text
        assert "It is off the public side, a draft again, and nobody can be promised it." in shown
        assert "Another number" in shown
        assert "Not as it was sent" in shown
