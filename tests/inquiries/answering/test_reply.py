"""The page of a thread while a reply is being written: what is put in, what is stopped, what is sent all the same."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Acquisition, ClaimWord, Cost, Finding, Instrument
from inquiries.answering.letter import marked, named, put_in
from inquiries.models import Inquiry, Message, SavedPhrase
from inquiries.threads.stops import Stop
from shop.models import Entry, Job, User
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import ask, entry

BUYER, OTHER, SELLER = "Cole Withers", "Marla Quennell", "Ada Brumby-Oake"


@pytest.fixture
def inquiry(owner: User) -> Inquiry:
    piece = InstrumentFactory(listed=True, floor_price=Decimal(9000))
    Acquisition.objects.create(
        instrument=piece, seller=SELLER, on=NOON.date(), note="She wept over it all day long"
    )
    Cost.objects.create(
        instrument=piece,
        kind="purchase",
        amount=Decimal(7350),
        currency="USD",
        on=NOON.date(),
        by=owner,
        at=NOON,
    )
    InquiryFactory(instrument=piece, contact__name=OTHER, contact__email="marla@post.example")
    inquiry = InquiryFactory(instrument=piece, contact__name=BUYER, contact__email="cole@post.example")
    ask(inquiry, at=NOON, body="Is the peghead as it was?")
    return inquiry


def send(client: Client, inquiry: Inquiry, text: str, **more: str) -> str:
    press = {"text": text, "entry": entry()} | more
    answer = client.post(reverse("inquiry-answer", args=[inquiry.pk]), press)
    return answer.text if answer.status_code == 200 else ""


def press(client: Client, inquiry: Inquiry, **sent: str) -> str:
    answer = client.post(reverse("inquiry-put-in", args=[inquiry.pk]), {"entry": entry()} | sent)
    assert answer.status_code == 200
    return answer.text


def in_the_form(page: str) -> str:
    """What stands in the reply."""
    area = page[page.index('name="text"') :]
    return area[area.index(">") + 1 : area.index("</textarea>")].strip("\n")


def nothing_sent() -> bool:
    return not Message.objects.filter(ours=True).exists() and not Job.objects.exists()


@pytest.mark.parametrize(
    "secret",
    [
        "9,000", "9000", "$9k", "nine thousand", "7.350,00", "7 350", "seventy-three fifty", SELLER, SELLER.upper(),
        "Ada Brumby‑Oake", OTHER, "MARLA QUENNELL", "Quennell", "marla@post.example", "she wept over it all day",
    ],
)  # fmt: skip
def test_what_is_private_stops_the_letter_with_its_place_marked(
    secret: str, helpers: Client, inquiry: Inquiry
) -> None:
    text = f"Dear {BUYER}, between us: {secret}. The price is $12,500."
    for second_press in ({}, {"as_it_stands": named(text)}):
        page = send(helpers, inquiry, text, **second_press)
        assert "Your answer has not gone out." in page
        assert page.count("<mark>") == 1
        found = page[page.index("<mark>") + 6 : page.index("</mark>")]
        assert found in secret
        assert "Send as it stands" not in page
        assert "between us" in in_the_form(page)
        assert nothing_sent()


def test_a_helper_is_told_no_more_than_that_it_is_private(helpers: Client, inquiry: Inquiry) -> None:
    page = send(helpers, inquiry, "It is 9000.")
    assert "floor" not in page.lower()
    assert SELLER not in page


def test_the_price_the_own_name_and_public_words_go_out(helpers: Client, inquiry: Inquiry) -> None:
    text = f"Dear {BUYER}, it is 12.500, made c. 1931, cole@post.example."
    assert send(helpers, inquiry, text) == ""
    assert inquiry.messages.get(ours=True).body == text


def test_a_price_that_is_the_floor_is_public(helpers: Client, inquiry: Inquiry) -> None:
    Instrument.objects.update(asking_price=9000)
    assert send(helpers, inquiry, "It is 9,000.") == ""


def test_private_figures_of_another_piece_that_the_letter_names_stop_it(
    helpers: Client, inquiry: Inquiry
) -> None:
    other = InstrumentFactory(listed=True, floor_price=Decimal(6100))
    assert send(helpers, inquiry, "I have seen 6,100 elsewhere.") == ""
    page = send(helpers, inquiry, f"For no. {other.stock_id} I take 6,100.")
    assert "<mark>6,100</mark>" in page


def test_a_claim_that_the_record_contradicts_does_not_go_out(helpers: Client, inquiry: Inquiry) -> None:
    tuners = inquiry.instrument.kind.parts.get(slug="tuners")
    Finding.objects.create(
        instrument=inquiry.instrument, part=tuners, state="later", seen="eye", examined_at=NOON
    )
    text = "The tuners are original."
    for second_press in ({}, {"as_it_stands": named(text)}):
        page = send(helpers, inquiry, text, **second_press)
        assert "<mark>" in page
        assert "The record says otherwise." in page
        assert "Rule of “Original part, by name”" in page
        assert nothing_sent()


def test_a_claim_that_is_quoted_from_their_letter_is_theirs(helpers: Client, inquiry: Inquiry) -> None:
    assert send(helpers, inquiry, "> It is very rare, they say.\n> The rim is original.\nLet us talk.") == ""


def test_what_is_not_established_goes_out_by_a_second_press_and_that_is_kept(
    helpers: Client, helper: User, inquiry: Inquiry
) -> None:
    text = "It is very rare."
    page = send(helpers, inquiry, text)
    assert "Send as it stands" in page
    assert f'value="{named(text)}"' in page
    assert nothing_sent()
    assert send(helpers, inquiry, text, as_it_stands=named(text)) == ""
    kept = Entry.objects.get(verb="sent as it stands")
    assert (kept.about, kept.about_id, kept.by) == ("inquiry", inquiry.pk, helper)
    assert "rare" in kept.new


def test_the_second_press_is_for_the_text_that_was_read_and_no_other(
    helpers: Client, inquiry: Inquiry
) -> None:
    assert "Send as it stands" in send(
        helpers, inquiry, "It is very rare, the finest known.", as_it_stands=named("It is very rare.")
    )
    assert nothing_sent()


def test_a_fact_is_put_in_where_the_cursor_stood_and_nothing_typed_is_lost(
    helpers: Client, inquiry: Inquiry
) -> None:
    page = helpers.get(reverse("inquiry", args=[inquiry.pk])).text
    button = page[: page.index(">The price is $12,500; shipping is not in it.<")].rpartition("<button")[2]
    key = button.partition('value="')[2].partition('"')[0]
    put = press(helpers, inquiry, put=key, text="Dear Cole,\r\n\r\nyours", cursor="12")
    assert in_the_form(put) == "Dear Cole,\n\nThe price is $12,500; shipping is not in it. yours"
    put = press(helpers, inquiry, put=key, text="Dear Cole,")
    assert in_the_form(put) == "Dear Cole, The price is $12,500; shipping is not in it."
    Instrument.objects.update(asking_price=11000)
    gone = press(helpers, inquiry, put=key, text="Dear Cole,")
    assert "The record has changed since this page was opened." in gone
    assert in_the_form(gone) == "Dear Cole,"


def test_an_answer_on_a_part_that_was_asked_about_stands_ready(helpers: Client, inquiry: Inquiry) -> None:
    page = helpers.get(reverse("inquiry", args=[inquiry.pk])).text
    assert "Photographs of the peghead" in page
    assert "No photograph of the peghead" in page
    put = press(helpers, inquiry, put="photographs", part="tailpiece", text="")
    assert "We have no photograph yet that shows the tailpiece" in in_the_form(put)


def test_a_thread_about_another_matter_has_no_facts_and_is_read_all_the_same(
    helpers: Client, owner: User
) -> None:
    inquiry = InquiryFactory(instrument=None, matter="A valuation")
    page = helpers.get(reverse("inquiry", args=[inquiry.pk]))
    assert page.status_code == 200
    assert send(helpers, inquiry, "We do not write papers.") == ""


def phrase(text: str, title: str = "Thanks") -> SavedPhrase:
    return SavedPhrase.objects.create(title=title, text=text, changed_at=NOON)


def test_a_phrase_is_filled_in_from_the_record(helpers: Client, inquiry: Inquiry) -> None:
    row = phrase("Dear {name}, no. {stock} is {price}; you have {approval}. {date}")
    put = press(helpers, inquiry, put=f"phrase-{row.pk}", text="")
    stock = inquiry.instrument.stock_id
    assert in_the_form(put) == f"Dear {BUYER}, no. {stock} is $12,500; you have 48 hours. 10 June 2026"


def test_a_phrase_for_which_the_record_has_nothing_is_refused_and_says_what_is_lacking(
    helpers: Client, inquiry: Inquiry
) -> None:
    Instrument.objects.update(asking_price=None, price_on_request=True)
    put = press(helpers, inquiry, put=f"phrase-{phrase('It is {price}.').pk}", text="Kept")
    assert "there is nothing here for {price}, the asking price" in put
    assert in_the_form(put) == "Kept"


def test_what_a_phrase_claims_is_read_against_this_piece(helpers: Client, inquiry: Inquiry) -> None:
    tuners = inquiry.instrument.kind.parts.get(slug="tuners")
    Finding.objects.create(
        instrument=inquiry.instrument, part=tuners, state="later", seen="eye", examined_at=NOON
    )
    wrong = press(helpers, inquiry, put=f"phrase-{phrase('The tuners are original.').pk}", text="Kept")
    assert "“Thanks” is not put in: the record of this piece says otherwise." in wrong
    assert "<mark>" in wrong
    assert in_the_form(wrong) == "Kept"
    unsure = press(helpers, inquiry, put=f"phrase-{phrase('It is very rare.', 'Praise').pk}", text="Kept")
    assert "The record does not establish" in unsure
    assert in_the_form(unsure) == "Kept It is very rare."


def test_a_field_there_is_none_of_is_refused_by_its_name(helpers: Client, owner: User) -> None:
    for text, says in (("It is {prize}.", "{prize}” is no field"), ("It is {price", "A “{” stands alone")):
        page = helpers.post(reverse("phrase-new"), {"title": "Price", "text": text})
        assert page.status_code == 200
        assert says in page.text
        assert "{approval}" in page.text
    assert not SavedPhrase.objects.exists()


def test_a_phrase_is_written_changed_and_removed_with_its_history(helpers: Client, helper: User) -> None:
    helpers.post(reverse("phrase-new"), {"title": "Thanks", "text": "Thank you, {name}."})
    row = SavedPhrase.objects.get()
    assert row.by == helper
    helpers.post(reverse("phrase-change", args=[row.pk]), {"title": "Thanks", "text": "Thanks, {name}."})
    taken = helpers.post(reverse("phrase-new"), {"title": "Thanks", "text": "Again"})
    assert taken.status_code == 200
    assert "Thanks, {name}." in helpers.get(reverse("phrases")).text
    helpers.post(reverse("phrase-remove", args=[row.pk]))
    assert not SavedPhrase.objects.exists()
    assert [
        (one.verb, one.old, one.new) for one in Entry.objects.filter(about="savedphrase").order_by("pk")
    ] == [
        ("written", "", "Thank you, {name}."),
        ("changed", "Thank you, {name}.", "Thanks, {name}."),
        ("removed", "Thanks, {name}.", ""),
    ]


@pytest.mark.parametrize(
    ("text", "at", "result"),
    [
        ("", None, "It is."), ("Dear", None, "Dear It is."), ("a b", 2, "a It is. b"), ("a.", 1, "a It is.."),
        ("a\n\nb", 3, "a\n\nIt is. b"), ("ab", 99, "ab It is."),
    ],
)  # fmt: skip
def test_words_are_put_in_with_blanks_where_they_are_wanted(text: str, at: int | None, result: str) -> None:
    assert put_in(text, "It is.", at) == result


def test_marked_pieces_make_up_the_text_again() -> None:
    stops = [Stop(3, 6, "one"), Stop(4, 8, "two"), Stop(9, 10, "one", gives_way=True)]
    read = marked("0123456789abc", stops)
    assert "".join(piece.text for piece in read.pieces) == "0123456789abc"
    assert [(piece.text, piece.note) for piece in read.pieces if piece.note] == [
        ("345", 1),
        ("67", 2),
        ("9", 1),
    ]
    assert read.notes == ("one", "two")
    assert not read.give_way
    assert marked("abc", stops[2:]).give_way


def test_the_owners_words_are_what_is_looked_for(helpers: Client, inquiry: Inquiry) -> None:
    ClaimWord.objects.create(claim="rare", words="hen’s teeth")
    assert "<mark>" in send(helpers, inquiry, "It is hen’s teeth.")
