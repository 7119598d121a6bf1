"""Who was told what of a hold: by a letter, or in another way that was noted; who knows of other times."""

import html
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from inquiries.models import Contact, Hold, HoldNotice, Message
from inquiries.review.due import holds as due_holds
from inquiries.sales.hold_actions import extend_hold, place_hold, release_hold
from inquiries.sales.hold_letters import letter
from inquiries.sales.prospects import standing_of
from inquiries.sales.telling import may_be_told, row_of, span_said
from inquiries.sales.telling_actions import note_told, write_to
from shop.facts import FactIsFixed
from shop.models import ShopProfile, User
from shop.refusal import Refused
from tests.factories import NOON, InquiryFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import entry, held, opened

HOUR = timedelta(hours=1)
What = HoldNotice.What
pytestmark = pytest.mark.usefixtures("profile")


def by_telephone(hold: Hold, what: str, *, hours: int = 0, note: str = "") -> HoldNotice:
    hold = Hold.objects.get(pk=hold.pk)
    return note_told(
        hold,
        what,
        channel="telephone",
        note=note,
        span=span_said(hold),
        entry=entry(),
        by=None,
        at=NOON + hours * HOUR,
    )


def known(hold: Hold, hours: int = 0) -> list[tuple[str, bool]]:
    row = row_of(Hold.objects.get(pk=hold.pk), at=NOON + hours * HOUR)
    return [(telling.what.value, telling.told) for telling in row.tellings]


def otherwise(hold: Hold, hours: int = 0) -> bool:
    return bool(row_of(Hold.objects.get(pk=hold.pk), at=NOON + hours * HOUR).told_otherwise)


def due(hours: int) -> list[str]:
    return [item.what.partition(":")[0] for item in due_holds(NOON + hours * HOUR)]


def test_a_call_that_is_noted_stands_in_the_thread_and_at_the_hold() -> None:
    hold = held()
    assert known(hold) == [("placed", False)]
    notice = by_telephone(hold, What.PLACED)
    assert known(hold) == [("placed", True)]
    assert (notice.starts_at, notice.until) == (NOON, NOON + 48 * HOUR)
    message = Message.objects.get()
    assert notice.message == message
    assert (message.ours, message.channel, message.inquiry) == (True, "telephone", hold.inquiry)
    assert "is on hold for you until Fri 12 Jun 2026, 8:00 am (Eastern Daylight Time)." in message.body


def test_a_letter_goes_out_and_a_second_press_is_the_same_letter() -> None:
    hold, press = held(), entry()
    for _ in range(2):
        notice = write_to(hold, "placed", "It is yours.", span=span_said(hold), entry=press, by=None, at=NOON)
    message = Message.objects.get()
    assert (notice.message, notice.channel, message.delivery) == (message, "mail", "waiting")
    assert HoldNotice.objects.count() == 1
    Message.objects.update(delivery="stuck", trouble="Refused")
    assert row_of(hold, at=NOON).tellings[0].held_up


@pytest.mark.parametrize(
    ("what", "hours"), [("moved-up", 0), ("extended", 0), ("ended", 0), ("ending", 48), ("nonsense", 0)]
)
def test_what_is_not_so_is_not_told(what: str, hours: int) -> None:
    hold = held()
    with pytest.raises(Refused) as refused:
        by_telephone(hold, what, hours=hours)
    assert refused.value.code == "not-so"
    assert not Message.objects.exists()
    assert not HoldNotice.objects.exists()


def test_a_letter_with_other_times_than_the_hold_has_by_now_does_not_go() -> None:
    hold = held()
    drafted = span_said(hold)
    extend_hold(hold, hours=5, by=None, at=NOON)
    with pytest.raises(Refused) as refused:
        write_to(hold, "placed", "Until Friday.", span=drafted, entry=entry(), by=None, at=NOON)
    assert refused.value.code == "changed"
    assert not Message.objects.exists()


def test_a_notice_stands_for_good() -> None:
    notice = by_telephone(held(), What.PLACED)
    with pytest.raises(FactIsFixed):
        notice.delete()


def test_an_extension_is_to_be_told_to_its_person_and_to_those_who_moved_back() -> None:
    first = held()
    second, third = held(first.instrument), held(first.instrument)
    by_telephone(first, What.PLACED)
    by_telephone(second, What.PLACED)
    extend_hold(first, hours=24, by=None, at=NOON + HOUR)
    assert known(first, 1) == [("placed", True), ("extended", False)]
    assert (otherwise(first, 1), otherwise(second, 1)) == (True, True)
    assert not otherwise(third, 1), "nothing was told, so nothing was told wrongly"
    assert due(1) == ["Hold has another end than they know", "Place in the queue has moved"]
    by_telephone(first, What.EXTENDED, hours=2)
    by_telephone(second, What.PLACED, hours=2)
    assert known(first, 2) == [("placed", True), ("extended", True)]
    assert due(2) == []


def test_who_moved_up_is_due_until_told_and_a_letter_from_before_does_not_count() -> None:
    first = held()
    second = held(first.instrument)
    by_telephone(second, What.PLACED)
    assert due(1) == []
    release_hold(first, given_up="telephone", by=None, at=NOON + HOUR)
    assert known(first, 1) == [("placed", False), ("ended", True)]
    assert known(second, 1) == [("placed", True), ("moved-up", False)]
    assert due(1) == ["Hold has moved up"]
    by_telephone(second, What.MOVED_UP, hours=2)
    assert due(2) == []


def test_with_nobody_there_to_bring_the_books_up_the_next_is_due_all_the_same() -> None:
    first = held()
    second = held(first.instrument)
    assert due(30) == ["Hold ends"]
    assert due(48) == ["Hold has moved up"]
    assert Hold.objects.get(pk=first.pk).state == "active"
    assert known(second, 48) == [("placed", False), ("moved-up", False)]
    assert due(72) == ["Hold ends", "Hold has moved up"]
    assert due(96) == []


def test_of_what_has_ended_only_that_it_has_is_told() -> None:
    hold = held()
    by_telephone(hold, What.PLACED)
    assert What.ENDED not in may_be_told(hold, at=NOON + 47 * HOUR)
    assert known(hold, 48) == [("placed", True), ("ended", False)]
    assert not otherwise(hold, 48)
    by_telephone(hold, What.ENDED, hours=50)
    assert known(hold, 50) == [("placed", True), ("ended", True)]


def test_behind_a_sale_no_time_is_told_and_one_that_comes_later_is_told_anew() -> None:
    sale = opened()
    waiting = held(sale.instrument)
    notice = by_telephone(waiting, What.PLACED)
    assert notice.until is None
    assert "It is being bought at this moment" in Message.objects.get(hold_notices=notice).body
    assert not otherwise(waiting)


LETTERS = [
    (
        "placed",
        "Our no. {stock}, {piece}, is on hold for you until Fri 12 Jun 2026, 8:00 am (Eastern Daylight Time). "
        "After that the hold ends by itself. A word by mail or telephone is enough.",
    ),
    (
        "ending",
        "The hold on our no. {stock}, {piece} ends Fri 12 Jun 2026, 8:00 am (Eastern Daylight Time). "
        "After that the hold ends by itself. A word by mail or telephone is enough.",
    ),
]


@pytest.mark.parametrize(("what", "said"), LETTERS)
def test_the_letter_says_what_stands(what: str, said: str, profile: ShopProfile) -> None:
    hold = held(contact__name="Cole Withers")
    text = letter(hold, What(what), profile)
    piece = hold.instrument
    assert text.startswith("Dear Cole Withers,\n\n")
    assert said.format(stock=piece.stock_id, piece=piece.name) in text
    assert text.endswith("Harrow Lane Strings\n")


def test_the_letter_of_a_hold_with_a_deposit_names_both_days(profile: ShopProfile) -> None:
    inquiry = InquiryFactory()
    hold = place_hold(inquiry.instrument, inquiry, by=None, at=NOON, hours=24, balance_hours=240)
    text = letter(hold, What.PLACED, profile)
    assert "until Thu 11 Jun 2026, 8:00 am (Eastern Daylight Time). The deposit is due by then." in text
    assert "the balance is due by Sat 20 Jun 2026, 8:00 am (Eastern Daylight Time)" in text


def test_the_letter_to_who_waits_names_the_place_and_the_span(profile: ShopProfile) -> None:
    first = held()
    second = held(first.instrument)
    place = standing_of(first.instrument, at=NOON).place_of(second)
    text = letter(second, What.PLACED, profile, place=place)
    assert "You are first in the queue for our no." in text
    assert "from Fri 12 Jun 2026, 8:00 am (Eastern Daylight Time) until Sun 14 Jun 2026, 8:00 am" in text


# The pages.


def sent(page: str, field: str) -> str:
    """What a hidden field of the first form that has it holds."""
    return html.unescape(page.partition(f'name="{field}" value="')[2].partition('"')[0])


def test_the_page_drafts_the_letter_and_sends_it(helpers: Client, helper: User) -> None:
    hold = held(contact__name="Cole Withers")
    address = reverse("hold-page", args=[hold.pk])
    assert "Not told" in helpers.get(address).text
    page = helpers.get(f"{reverse('hold-tell', args=[hold.pk])}?what=placed").text
    assert "Dear Cole Withers," in page
    typed = {
        "what": "placed",
        "span": sent(page, "span"),
        "entry": sent(page, "entry"),
        "text": "It is yours.",
    }
    for _ in range(2):
        answer = helpers.post(reverse("hold-write", args=[hold.pk]), typed, follow=True)
    assert "Your letter to Cole Withers is on its way." in answer.text
    assert "Told</span> Wed 10 Jun 2026, 8:00 am, e-mail, Nell Tarrow" in answer.text
    assert HoldNotice.objects.get().by == helper


def test_the_drafted_letter_itself_may_go_out(helpers: Client) -> None:
    """Nothing in it is stopped by what letters are read for."""
    first = held()
    second = held(first.instrument)
    for hold, what in ((first, "placed"), (first, "ending"), (second, "placed")):
        page = helpers.get(f"{reverse('hold-tell', args=[hold.pk])}?what={what}").text
        text = html.unescape(page.partition("<textarea")[2].partition(">")[2].partition("</textarea>")[0])
        typed = {"what": what, "span": sent(page, "span"), "entry": sent(page, "entry"), "text": text.strip()}
        answer = helpers.post(reverse("hold-write", args=[hold.pk]), typed)
        assert answer.status_code == 302, answer.text
    assert HoldNotice.objects.count() == 3


def test_the_page_takes_a_call_down(helpers: Client) -> None:
    hold = held()
    page = helpers.get(reverse("hold-tell", args=[hold.pk]) + "?what=placed").text
    typed = {
        "what": "placed",
        "span": sent(page, "span"),
        "entry": entry(),
        "channel": "visit",
        "note": "In the shop",
    }
    assert helpers.post(reverse("hold-told", args=[hold.pk]), typed).status_code == 302
    assert HoldNotice.objects.get().channel == "visit"
    assert Message.objects.get().body == "In the shop"


def test_a_hold_that_changed_meanwhile_brings_the_letter_back_and_the_next_press_sends_it(
    helpers: Client,
) -> None:
    hold = held()
    page = helpers.get(reverse("hold-tell", args=[hold.pk]) + "?what=placed").text
    extend_hold(hold, hours=5, by=None, at=NOON)
    typed = {
        "what": "placed",
        "span": sent(page, "span"),
        "entry": sent(page, "entry"),
        "text": "Kept as typed",
    }
    answer = helpers.post(reverse("hold-write", args=[hold.pk]), typed)
    assert "The hold has changed while you wrote" in answer.text
    assert "Kept as typed" in answer.text
    assert "Fri 12 Jun 2026, 1:00 pm" in answer.text
    again = typed | {"span": sent(answer.text, "span")}
    assert helpers.post(reverse("hold-write", args=[hold.pk]), again).status_code == 302


def test_who_has_no_address_is_told_otherwise(helpers: Client) -> None:
    hold = held()
    Contact.objects.update(email="")
    page = helpers.get(reverse("hold-tell", args=[hold.pk])).text
    assert "has left no e-mail address" in page
    assert "Note that they were told" in page
    typed = {"what": "placed", "span": span_said(hold), "entry": entry(), "text": "x"}
    assert "has left no e-mail address" in helpers.post(reverse("hold-write", args=[hold.pk]), typed).text
    assert not HoldNotice.objects.exists()


def test_the_extension_is_confirmed_first_and_done_once(helpers: Client, helper: User, clock: Clock) -> None:
    first = held(contact__name="Cole Withers")
    second = held(first.instrument, contact__name="Ada Vane")
    by_telephone(second, What.PLACED)
    address = reverse("hold-extend", args=[first.pk])
    page = helpers.get(address).text
    assert "Sat 13 Jun 2026, 8:00 am" in page  # a day longer, as the policy proposes
    assert "Ada Vane, now from Fri 12 Jun 2026, 8:00 am, and was told so" in page
    page = helpers.post(address, {"hours": "10", "look": "yes"}).text
    assert "Fri 12 Jun 2026, 6:00 pm" in page
    assert Hold.objects.get(pk=first.pk).extended_hours == 0

    answer = helpers.post(address, {"hours": "10"}, follow=True)
    assert "Cole Withers has No." in answer.text
    assert "until Fri 12 Jun 2026, 6:00 pm." in answer.text
    assert "Told otherwise" in answer.text  # Ada Vane
    again = helpers.post(address, {"hours": "10"})
    assert "This hold was made longer once already, by 10 hours, and once is all." in again.text
    assert Hold.objects.get(pk=first.pk).until == NOON + 58 * HOUR
    page = helpers.get(address).text
    assert "once is all. Take a deposit to keep it for them, or let it end." in page
    assert "Make it longer</button>" not in page


@pytest.mark.parametrize(
    ("hours", "says"), [("25", "by 24 hours at most"), ("", "required"), ("0", "Ensure")]
)
def test_a_refused_extension_comes_back_with_what_was_typed(helpers: Client, hours: str, says: str) -> None:
    hold = held()
    answer = helpers.post(reverse("hold-extend", args=[hold.pk]), {"hours": hours})
    assert says in answer.text
    assert not hours or f'value="{hours}"' in answer.text
    assert Hold.objects.get().extended_hours == 0


def test_a_hold_with_a_deposit_is_placed_at_the_desk(helpers: Client) -> None:
    inquiry = InquiryFactory(contact__name="Cole Withers")
    address = reverse("inquiry-hold", args=[inquiry.pk])
    typed = {"condition": "deposit", "hours": "", "due_hours": "24", "days": "20"}
    page = helpers.post(address, typed | {"look": "yes"}).text
    assert "Deposit due by" in page
    assert "Thu 11 Jun 2026, 8:00 am" in page
    assert "Tue 30 Jun 2026, 8:00 am" in page
    answer = helpers.post(address, typed, follow=True)
    assert "the deposit is due by Thu 11 Jun 2026, 8:00 am." in answer.text
    hold = Hold.objects.get()
    assert (hold.condition, hold.hours, hold.balance_hours) == ("deposit", 24, 480)
    page = helpers.get(reverse("hold-page", args=[hold.pk])).text
    assert "Balance due by" in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"hours": "73"}, "A hold longer than 72 hours without a deposit is not made by the house policy."),
        ({"condition": "deposit", "due_hours": "49", "days": "20"}, "a deposit is due within 48 hours"),
        ({"condition": "deposit", "due_hours": "48", "days": "31"}, "held 30 days at most with a deposit"),
        ({"condition": "deposit", "due_hours": "48", "days": ""}, "This field is required"),
        (
            {"condition": "deposit", "due_hours": "48", "days": "1"},
            "balance cannot be due before the deposit",
        ),
    ],
)
def test_what_the_policy_does_not_allow_comes_back(helpers: Client, typed: dict[str, str], says: str) -> None:
    inquiry = InquiryFactory()
    answer = helpers.post(reverse("inquiry-hold", args=[inquiry.pk]), typed)
    assert says in answer.text
    assert not Hold.objects.exists()


def test_a_hold_that_lapsed_with_nobody_there_says_so_on_its_page(helpers: Client, clock: Clock) -> None:
    hold = held()
    clock.on(hours=48)
    page = helpers.get(reverse("hold-page", args=[hold.pk])).text
    assert "Expired" in page
    assert "Make it longer" not in page
    assert Hold.objects.get().state == "active"
    assert "It does not run now" in helpers.get(reverse("hold-extend", args=[hold.pk])).text


def test_a_long_queue_costs_no_more_queries(
    helpers: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    first = held()
    held(first.instrument)
    address = reverse("hold-page", args=[first.pk])
    with django_assert_num_queries(9) as few:
        helpers.get(address)
    for _ in range(5):
        by_telephone(held(first.instrument), What.PLACED)
    with django_assert_num_queries(len(few)):
        helpers.get(address)
