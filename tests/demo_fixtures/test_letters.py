"""The mail of the invented shop is sorted and joined as a dealer's would be, and shows what is odd about it."""

import re
from collections import Counter
from pathlib import Path

import pytest

import demo_fixtures
from inquiries.cautions.rules import Sign, signs_in
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.models import Message

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]

LETTERS = sorted((Path(demo_fixtures.__file__).parent / "letters").glob("*.eml"))
Sort, Place = ReceivedMail.Sort, ReceivedMail.Place


def of(name: str) -> ReceivedMail:
    return ReceivedMail.objects.get(header_id__startswith=f"<{name}")


def test_every_letter_came_and_each_is_sorted_by_its_headings() -> None:
    found = Counter(ReceivedMail.objects.values_list("sort", "place"))
    assert found == {
        (Sort.PERSON, Place.JOINED): 4,
        (Sort.PERSON, Place.GUESSED): 1,
        (Sort.PERSON, Place.ASIDE): 2,
        (Sort.AUTOMATIC, Place.JOINED): 1,
        (Sort.BOUNCE, Place.JOINED): 1,
        (Sort.LIST, Place.ASIDE): 1,
    }
    assert sum(found.values()) == len(LETTERS)


def test_an_answer_is_in_its_thread_with_its_picture_and_what_it_quotes_is_folded() -> None:
    answer = of("mandola")
    assert answer.message is not None
    assert answer.message.inquiry.matter == "A valuation of her father’s mandola"
    assert "> Pictures first, please" in answer.quoted
    assert "Pictures first" not in answer.body
    picture = answer.attachments.get()
    assert (picture.name, picture.prints) == ("the head.jpg", Attachment.Prints.READY)


def test_what_is_odd_is_seen() -> None:
    assert "it is an archive (ZIP)" in of("haste-2").attachments.get().trouble
    assert "counting.example" not in of("rialto").html
    assert of("soprano").guess_why.startswith("Its subject names no. 1043")
    assert Message.objects.get(inquiry=of("report").message.inquiry, ours=True).delivery == "stuck"


def test_the_hasty_buyer_shows_the_signs() -> None:
    thread = of("haste-2").message.inquiry
    said = list(thread.messages.filter(ours=False).values_list("body", flat=True))
    signs = {found.sign for found in signs_in(said)}
    assert signs == {Sign.OVERPAYMENT, Sign.FORWARDER, Sign.RUSH, Sign.NO_TELEPHONE}


@pytest.mark.parametrize("file", LETTERS, ids=lambda file: file.stem)
def test_every_host_in_a_letter_is_one_that_nobody_has(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    hosts = re.findall(r"@([a-z0-9.-]+)|//([a-z0-9.-]+)", text)
    assert all(one.rstrip(".").endswith(".example") for pair in hosts for one in pair if one), hosts
