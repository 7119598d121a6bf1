"""The list of inquiries, the thread, and what is said at the desk."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Instrument
from inquiries.models import Contact, Inquiry, Message
from inquiries.threads.letters import acknowledgement
from shop.history.models import Entry
from shop.models import Job, ShopProfile, User
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import ask, entry, held

HOUR = timedelta(hours=1)


@pytest.fixture
def inquiry(db: None) -> Inquiry:
    inquiry = InquiryFactory(contact__name="Cole Withers")
    ask(inquiry, at=NOON - 5 * HOUR)
    return inquiry


def url(name: str, inquiry: Inquiry) -> str:
    return reverse(name, args=[inquiry.pk])


def test_the_thread_shows_both_sides_with_who_and_how_it_went(
    helpers: Client, inquiry: Inquiry, helper: User
) -> None:
    ask(
        inquiry,
        at=NOON - HOUR,
        ours=True,
        by=helper,
        channel=Message.Channel.MAIL,
        body="It is <b>here</b>.",
        delivery=Message.Delivery.STUCK,
        trouble="The work was interrupted.",
    )
    page = helpers.get(url("inquiry", inquiry)).text
    assert page.index("Is it still there?") < page.index("It is &lt;b&gt;here&lt;/b&gt;.")
    assert "Nell Tarrow" in page
    assert '<span class="state state-stuck">Not sent</span>' in page
    assert "The work was interrupted." in page


def test_only_the_owner_sees_the_floor_and_it_is_marked_private(
    owners: Client, helpers: Client, inquiry: Inquiry
) -> None:
    Instrument.objects.filter(pk=inquiry.instrument_id).update(floor_price=Decimal("9876.00"))
    assert (
        '<dt>Floor (private)</dt><dd class="figures">$9,876</dd>' in owners.get(url("inquiry", inquiry)).text
    )
    page = helpers.get(url("inquiry", inquiry)).text
    assert "9,876" not in page
    assert "floor" not in page.lower()
    assert "$12,500" in page


def test_an_answer_is_in_the_thread_and_waits_for_the_worker(
    helpers: Client, inquiry: Inquiry, helper: User
) -> None:
    answer = helpers.post(url("inquiry-answer", inquiry), {"text": "Yes, come and see it.", "entry": entry()})
    assert answer.status_code == 302
    assert answer["Location"] == url("inquiry", inquiry)
    message = inquiry.messages.get(ours=True)
    assert (message.body, message.by, message.channel, message.delivery) == (
        "Yes, come and see it.",
        helper,
        "mail",
        "waiting",
    )
    assert Job.objects.get().arguments == {"message": message.pk}


def test_a_second_press_sends_nothing_more(helpers: Client, inquiry: Inquiry) -> None:
    press = {"text": "Yes.", "entry": entry()}
    for _ in range(2):
        assert helpers.post(url("inquiry-answer", inquiry), press).status_code == 302
    assert inquiry.messages.filter(ours=True).count() == 1
    assert Job.objects.count() == 1


def test_the_same_words_from_a_new_form_are_a_new_answer(helpers: Client, inquiry: Inquiry) -> None:
    for _ in range(2):
        helpers.post(url("inquiry-answer", inquiry), {"text": "Yes.", "entry": entry()})
    assert inquiry.messages.filter(ours=True).count() == 2


@pytest.mark.parametrize("name", ["inquiry-answer", "inquiry-note", "inquiry-lay-aside"])
def test_what_is_said_is_only_ever_posted_and_never_by_a_stranger(
    name: str, helpers: Client, client: Client, inquiry: Inquiry
) -> None:
    assert helpers.get(url(name, inquiry)).status_code == 405
    answer = client.post(url(name, inquiry), {"text": "Let me in.", "entry": entry()})
    assert answer["Location"].startswith("/desk/log-in/")
    assert inquiry.messages.count() == 1
    assert Inquiry.objects.get().done_at is None


@pytest.mark.parametrize(
    "typed", [{"text": "", "entry": entry()}, {"text": "Kept text", "entry": "x\r\nBcc: all@post.example"}]
)
def test_a_bad_answer_changes_nothing_and_comes_back(
    typed: dict[str, str], helpers: Client, inquiry: Inquiry
) -> None:
    answer = helpers.post(url("inquiry-answer", inquiry), typed)
    assert answer.status_code == 200
    assert "Nothing was saved yet" in answer.text
    assert typed["text"] in answer.text
    assert inquiry.messages.count() == 1


def test_without_an_address_the_answer_is_refused_with_a_sentence(helpers: Client, inquiry: Inquiry) -> None:
    Contact.objects.update(email="")
    answer = helpers.post(url("inquiry-answer", inquiry), {"text": "Kept text", "entry": entry()})
    assert "Cole Withers has left no e-mail address." in answer.text
    assert inquiry.messages.count() == 1


@pytest.mark.parametrize(("said_by", "ours"), [("theirs", False), ("ours", True)])
def test_a_call_is_noted_once_as_theirs_or_ours(
    said_by: str, ours: bool, helpers: Client, helper: User, inquiry: Inquiry
) -> None:
    press = {"said_by": said_by, "channel": "telephone", "text": "About the case.", "entry": entry()}
    for _ in range(2):
        assert helpers.post(url("inquiry-note", inquiry), press).status_code == 302
    note = inquiry.messages.get(body="About the case.")
    assert (note.ours, note.channel, note.by, note.delivery) == (ours, "telephone", helper, "none")
    assert not Job.objects.exists()


def test_a_note_without_words_comes_back(helpers: Client, inquiry: Inquiry) -> None:
    typed = {"said_by": "ours", "channel": "owl", "text": "By owl.", "entry": entry()}
    answer = helpers.post(url("inquiry-note", inquiry), typed)
    assert answer.status_code == 200
    assert "By owl." in answer.text
    assert inquiry.messages.count() == 1


def test_laid_aside_is_off_the_open_list_with_its_history(
    helpers: Client, inquiry: Inquiry, clock: Clock
) -> None:
    for _ in range(2):
        assert helpers.post(url("inquiry-lay-aside", inquiry))["Location"] == reverse("inquiries")
        clock.on(minutes=1)
    assert Inquiry.objects.get().done_at == NOON
    assert helpers.get(reverse("inquiries")).context["lines"] == []


def call(instrument: Instrument, **changed: str) -> dict[str, str]:
    typed = {
        "name": "Cole Withers",
        "email": "",
        "telephone": "+1 555 0147",
        "stock": str(instrument.stock_id),
        "channel": "telephone",
        "text": "May I see it on Friday?",
        "entry": entry(),
    }
    return typed | changed


def test_a_callers_question_is_one_person_one_thread_one_question(helpers: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    press = call(instrument)
    answers = [helpers.post(reverse("inquiry-new"), press) for _ in range(2)]
    inquiry = Inquiry.objects.get()
    assert [answer["Location"] for answer in answers] == [url("inquiry", inquiry)] * 2
    assert (inquiry.contact.name, inquiry.contact.telephone) == ("Cole Withers", "+1 555 0147")
    assert [message.body for message in inquiry.messages.all()] == ["May I see it on Friday?"]


def test_a_caller_known_by_address_goes_on_in_the_thread_they_have(helpers: Client, inquiry: Inquiry) -> None:
    Contact.objects.update(email="cole@post.example")
    helpers.post(reverse("inquiry-new"), call(inquiry.instrument, email="COLE@post.example"))
    assert Inquiry.objects.count() == 1
    assert inquiry.messages.count() == 2


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"telephone": ""}, "so that they can be reached"),
        ({"stock": "1"}, "No instrument has this number"),
        ({"text": ""}, "This field is required"),
        ({"email": "nowhere"}, "Enter a valid email address"),
    ],
)
def test_a_callers_question_that_cannot_be_kept_comes_back_whole(
    changed: dict[str, str], said: str, helpers: Client
) -> None:
    answer = helpers.post(reverse("inquiry-new"), call(InstrumentFactory(listed=True), **changed))
    assert said in answer.text
    assert 'value="Cole Withers"' in answer.text
    assert not Contact.objects.exists()


def test_the_page_leads_on_from_a_hold_to_the_deposit(helpers: Client) -> None:
    hold = held(at=NOON)
    page = helpers.get(url("inquiry", hold.inquiry)).text
    assert reverse("deposit", args=[hold.pk]) in page
    assert url("inquiry-hold", hold.inquiry) not in page


def test_the_page_of_a_long_thread_costs_what_a_short_one_costs(helpers: Client, inquiry: Inquiry) -> None:
    def cost() -> int:
        with CaptureQueriesContext(connection) as asked:
            helpers.get(url("inquiry", inquiry))
        return len(asked)

    helpers.get(url("inquiry", inquiry))
    short = cost()
    for number in range(40):
        ask(inquiry, at=NOON - HOUR + timedelta(minutes=number))
    assert cost() == short


def about_else(**changed: str) -> dict[str, str]:
    """A caller who asks about no piece of ours."""
    return call(InstrumentFactory(), stock="", matter="Neck reset  of a mandolin", **changed)


def test_a_caller_may_ask_about_another_matter_and_goes_on_in_that_thread(helpers: Client) -> None:
    for matter in ("Neck reset  of a mandolin", "neck reset of a MANDOLIN", "A valuation"):
        helpers.post(reverse("inquiry-new"), about_else() | {"matter": matter})
    assert [inquiry.matter for inquiry in Inquiry.objects.order_by("pk")] == [
        "Neck reset of a mandolin",
        "A valuation",
    ]
    assert Contact.objects.count() == 1
    first = Inquiry.objects.earliest("pk")
    assert first.messages.count() == 2
    for page in (helpers.get(url("inquiry", first)).text, helpers.get(reverse("inquiries")).text):
        assert "Neck reset of a mandolin" in page
    assert "Neck reset of a mandolin" in helpers.get(reverse("today")).text
    assert "Neck reset of a mandolin" in helpers.get(reverse("contact", args=[first.contact_id])).text
    assert helpers.get(url("inquiry-hold", first)).status_code == 404


@pytest.mark.parametrize("changed", [{"matter": ""}, {"stock": "5001"}])
def test_a_question_is_about_a_piece_or_another_matter(changed: dict[str, str], helpers: Client) -> None:
    InstrumentFactory(listed=True, stock__number=5001)
    answer = helpers.post(reverse("inquiry-new"), about_else() | changed)
    assert "one of the two" in answer.text
    assert not Inquiry.objects.exists()


def test_an_acknowledgement_of_another_matter_names_it() -> None:
    inquiry = Inquiry(contact=Contact(name="Cole Withers"), matter="A valuation")
    said = acknowledgement(inquiry, ShopProfile(name="Harrow Lane Strings"))
    assert "thank you for asking about “A valuation”." in said


def test_their_last_word_has_a_button_that_says_it_needs_no_answer(
    helpers: Client, inquiry: Inquiry, helper: User
) -> None:
    ask(inquiry, at=NOON - 2 * HOUR, ours=True, channel=Message.Channel.MAIL)
    for hours in (1, 0):
        last = ask(inquiry, at=NOON - hours * HOUR, body="Thank you!")
    press = reverse("message-no-answer", args=[last.pk])
    page = helpers.get(url("inquiry", inquiry)).text
    assert "Ours to answer" in page
    assert page.count("/no-answer/") == page.count(f'action="{press}"') == 1
    assert "waiting 1 hour (since Wed 7:00 am)" in page
    assert "first answer after 3 hours" in page
    for _ in range(2):
        assert helpers.post(press)["Location"] == url("inquiry", inquiry)
    page = helpers.get(url("inquiry", inquiry)).text
    assert "Theirs to answer" in page
    assert "/no-answer/" not in page
    assert page.count("It does need one") == 2
    assert Entry.objects.get(verb="needs no answer").by == helper
    helpers.post(reverse("message-an-answer", args=[last.pk]))
    assert "Ours to answer" in helpers.get(url("inquiry", inquiry)).text


def test_a_word_of_ours_never_needs_an_answer(helpers: Client, inquiry: Inquiry) -> None:
    said = ask(inquiry, at=NOON, ours=True)
    for name in ("message-no-answer", "message-an-answer"):
        assert helpers.post(reverse(name, args=[said.pk])).status_code == 404


def test_a_thread_laid_aside_is_taken_up_again(helpers: Client, inquiry: Inquiry) -> None:
    helpers.post(url("inquiry-lay-aside", inquiry))
    page = helpers.get(url("inquiry", inquiry)).text
    assert "Done</span>" in page
    assert "laid aside 10 June 2026" in page
    assert url("inquiry-lay-aside", inquiry) not in page
    assert helpers.post(url("inquiry-take-up", inquiry))["Location"] == url("inquiry", inquiry)
    assert "Ours to answer" in helpers.get(url("inquiry", inquiry)).text


def test_it_is_not_taken_up_beside_another_and_the_page_says_why(helpers: Client, inquiry: Inquiry) -> None:
    helpers.post(url("inquiry-lay-aside", inquiry))
    InquiryFactory(contact=inquiry.contact, instrument=inquiry.instrument)
    assert "Go on in that one." in helpers.post(url("inquiry-take-up", inquiry), follow=True).text
    inquiry.refresh_from_db()
    assert inquiry.done_at == NOON


def test_a_day_is_set_and_cleared_on_the_page(helpers: Client, inquiry: Inquiry) -> None:
    press = {"on": "2026-06-10", "note": "Ask about the case"}
    assert helpers.post(url("inquiry-follow-up", inquiry), press).status_code == 302
    page = helpers.get(url("inquiry", inquiry)).text
    assert "<b>10 June 2026</b>, today<br>Ask about the case" in page
    assert "Set for today: Ask about the case" in helpers.get(reverse("today")).text
    assert (
        "It comes up again on 10 June 2026"
        in helpers.post(url("inquiry-lay-aside", inquiry), follow=True).text
    )
    helpers.post(url("inquiry-followed-up", inquiry))
    assert "Ask about the case" not in helpers.get(reverse("today")).text


@pytest.mark.parametrize(
    ("press", "said"),
    [
        ({"on": "2026-06-09", "note": "Too late"}, "This day has gone by."),
        ({"on": "", "note": "Too late"}, "This field is required."),
    ],
)
def test_a_day_that_cannot_be_set_comes_back(
    press: dict[str, str], said: str, helpers: Client, inquiry: Inquiry
) -> None:
    answer = helpers.post(url("inquiry-follow-up", inquiry), press)
    assert said in answer.text
    assert 'value="Too late"' in answer.text
    inquiry.refresh_from_db()
    assert inquiry.follow_up_on is None


def test_a_note_of_their_word_in_a_thread_laid_aside_leads_to_the_open_one(
    helpers: Client, inquiry: Inquiry
) -> None:
    helpers.post(url("inquiry-lay-aside", inquiry))
    other = InquiryFactory(contact=inquiry.contact, instrument=inquiry.instrument)
    press = {"said_by": "theirs", "channel": "telephone", "text": "About the case.", "entry": entry()}
    answer = helpers.post(url("inquiry-note", inquiry), press)
    assert answer["Location"] == url("inquiry", other)
    assert other.messages.get().body == "About the case."


def test_what_a_message_quotes_is_folded_away(helpers: Client, inquiry: Inquiry) -> None:
    ask(inquiry, at=NOON, quoted="> Is it still there?", channel=Message.Channel.MAIL)
    page = helpers.get(url("inquiry", inquiry)).text
    assert page.index("<summary>What it quotes</summary>") < page.index("&gt; Is it still there?")


@pytest.mark.parametrize("name", ["inquiry-take-up", "inquiry-follow-up", "inquiry-followed-up"])
def test_turns_are_only_ever_posted_and_never_by_a_stranger(
    name: str, helpers: Client, client: Client, inquiry: Inquiry
) -> None:
    helpers.post(url("inquiry-lay-aside", inquiry))
    assert helpers.get(url(name, inquiry)).status_code == 405
    answer = client.post(url(name, inquiry), {"on": "2026-06-20"})
    assert answer["Location"].startswith("/desk/log-in/")
    inquiry.refresh_from_db()
    assert (inquiry.done_at, inquiry.follow_up_on) == (NOON, None)
