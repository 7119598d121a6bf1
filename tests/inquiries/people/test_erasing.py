"""What a person may ask for of their data: a file of it, and to be erased, but for what the books need."""

import io
import json
import zipfile
from datetime import timedelta

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction
from django.test import Client

from inquiries.mail.actions import take_in
from inquiries.mail.keeping import file_path, message_path
from inquiries.models import (
    Attachment,
    Contact,
    HoldNotice,
    LedgerRow,
    Merge,
    Message,
    ReceivedMail,
    Want,
    WrittenWord,
)
from inquiries.people.actions import add_email, change_contact, contact_for, keep_place, note_owned
from inquiries.people.erase_actions import erase
from inquiries.people.erasing import ERASED, plan
from inquiries.people.export import write_export
from inquiries.people.merge_actions import merge, undo
from inquiries.people.models import PostalAddress
from inquiries.sales.hold_actions import release_hold
from inquiries.threads.actions import receive_question
from shop.history.actions import empty, record
from shop.history.models import Entry
from shop.jobs.worker import drain
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import ask, closed, held, opened

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(days=1)
SECRET = "Quillonby"  # stands in everything that is theirs, and nowhere else
MAIL = """From: Quillonby <quillonby@post.example>
To: desk@harrowlane.example
Subject: Quillonby asks
Message-ID: <quillonby-1@post.example>
Date: Mon, 8 Jun 2026 10:00:00 +0000
MIME-Version: 1.0
Content-Type: multipart/mixed; boundary=b

--b
Content-Type: text/plain; charset=utf-8

Quillonby would like to know.
--b
Content-Type: text/plain; name="quillonby.txt"
Content-Disposition: attachment; filename="quillonby.txt"

The house of Quillonby.
--b--
"""


def somebody(owner: User) -> Contact:
    """A person of whom everything is known, with mail, wishes, threads, an ended hold and one merged into them."""
    contact = contact_for(SECRET, "quillonby@post.example", at=NOON)
    given = {"address": f"1 {SECRET} Lane", "telephone": "518 555 0199", "note": SECRET, "country": "US"}
    change_contact(contact, given, by=owner, at=NOON)
    change_contact(contact, {"name": f"Ada {SECRET}"}, by=owner, at=NOON)
    add_email(contact, "quillonby@work.example", by=owner, at=NOON)
    place = PostalAddress(contact=contact)
    keep_place(place, {"label": "Home", "lines": SECRET, "country": ""}, by=owner, at=NOON)
    note_owned(contact, f"The {SECRET} guitar", "", by=owner, at=NOON)
    Want.objects.create(contact=contact, sought=f"As {SECRET} had", asked_at=NOON)
    record(contact, "seeks", by=None, at=NOON, new=f"As {SECRET} had")
    question = {"name": SECRET, "email": "quillonby@work.example", "telephone": "", "text": f"I am {SECRET}"}
    receive_question(InstrumentFactory(listed=True), at=NOON, **question)
    take_in(MAIL.replace("\n", "\r\n").encode(), at=NOON)
    merge(contact, ContactFactory(name=f"Old {SECRET}", note=SECRET), by=owner, at=NOON)
    contact.refresh_from_db()
    release_hold(held(contact=contact), by=owner, at=NOON, reason=f"{SECRET} said no")
    return contact


def everything_said() -> str:
    """All that the database says, of every model of the house."""
    rows = [
        row
        for app in ("shop", "catalog", "inquiries")
        for model in apps.get_app_config(app).get_models()
        for row in model._base_manager.values()
    ]
    return json.dumps(rows, default=str).casefold()


def test_nothing_of_a_person_without_a_sale_is_left_anywhere(owner: User) -> None:
    contact = somebody(owner)
    mail, file = ReceivedMail.objects.get(), Attachment.objects.get()
    paths = [message_path(mail.sha256), file_path(file.sha256)]
    assert all(path.is_file() for path in paths)
    assert SECRET.casefold() in everything_said()
    entries = Entry.objects.count()
    erase(contact, by=owner, at=LATER)
    erase(contact, by=owner, at=LATER)
    assert SECRET.casefold() not in everything_said()
    assert "518 555 0199" not in everything_said()
    assert Entry.objects.count() == entries + 1, "who did what and when stays, and the erasure is told once"
    drain()
    assert not any(path.exists() for path in paths)
    contact.refresh_from_db()
    assert (contact.name, contact.erased_at) == (ERASED, LATER)


def test_the_same_mail_is_not_taken_in_anew(owner: User) -> None:
    contact = somebody(owner)
    erase(contact, by=owner, at=LATER)
    take_in(MAIL.replace("\n", "\r\n").encode(), at=LATER)
    assert ReceivedMail.objects.count() == 1
    assert SECRET not in ReceivedMail.objects.get().body


def test_a_file_that_another_sent_as_well_stays_on_the_disk(owner: User) -> None:
    contact = somebody(owner)
    other = MAIL.replace("quillonby@post", "nell@post").replace("quillonby-1", "nell-1")
    take_in(other.replace("\n", "\r\n").encode(), at=NOON)
    shared = file_path(Attachment.objects.first().sha256)  # type: ignore[union-attr]
    erase(contact, by=owner, at=LATER)
    drain()
    assert shared.is_file()
    assert Attachment.objects.count() == 1


def test_what_the_books_need_stays_and_the_receipt_is_as_it_was(owner: User) -> None:
    contact = somebody(owner)
    sale = closed(contact=contact)
    ask(sale.inquiry, at=NOON, body="I take it for what you say.")
    contents = list(sale.papers.values_list("content", flat=True))
    rows = list(LedgerRow.objects.values())
    assert contents
    erase(contact, by=owner, at=LATER)
    sale.refresh_from_db()
    assert str(sale.contact) == ERASED
    assert list(LedgerRow.objects.values()) == rows
    assert list(sale.papers.values_list("content", flat=True)) == contents
    assert SECRET in json.dumps(contents)
    assert sale.inquiry.messages.get(body__startswith="I take it")


def test_the_page_says_exactly_what_the_deed_does(owner: User) -> None:
    contact = somebody(owner)
    closed(contact=contact)
    said = plan(contact)
    messages, mails = Message.objects.all(), ReceivedMail.objects.all()
    goes = {line.what: line.many for line in said.goes}
    kept = {line.what: line.many for line in said.stays}
    lost = goes["Words of messages in threads without a sale"]
    erase(contact, by=owner, at=LATER)
    assert messages.filter(body="Erased.").count() == lost
    assert (
        mails.filter(body="", subject="Erased").count()
        == goes["Mail as received, with its text and its file on the disk"]
    )
    assert kept["Sales, with their ledgers, instalments, store credit, parcels and history"] == 1
    assert kept["Receipts, with the name and the address printed on them"] == 2
    assert all(line.why for line in said.stays)


def test_it_waits_while_anything_is_promised_or_open(owner: User) -> None:
    waiting = held()
    with pytest.raises(Refused, match=rf"They have a hold on No\. {waiting.instrument.stock_id}"):
        erase(waiting.contact, by=owner, at=LATER)
    sale = opened()
    with pytest.raises(Refused, match=rf"Sale {sale.number} is open"):
        erase(sale.contact, by=owner, at=LATER)
    gone = ContactFactory()
    merge(sale.contact, gone, by=owner, at=NOON)
    with pytest.raises(Refused, match="was merged into"):
        erase(gone, by=owner, at=LATER)
    assert not Contact.objects.filter(erased_at__isnull=False).exists()


def test_an_erased_person_is_nobody_any_more(owner: User) -> None:
    contact = somebody(owner)
    merged = contact.merged_from.get()
    erase(contact, by=owner, at=LATER)
    again = contact_for("Ada", "quillonby@post.example", at=LATER)
    assert again != contact
    with pytest.raises(Refused, match="has been erased"):
        change_contact(contact, {"note": "x"}, by=owner, at=LATER)
    with pytest.raises(Refused, match="has been erased"):
        undo(Merge.objects.get(gone=merged), by=owner, at=LATER)


def test_the_words_by_which_a_thread_was_found_are_forgotten(owner: User) -> None:
    contact = somebody(owner)
    assert WrittenWord.objects.filter(word=SECRET.casefold()).exists()
    erase(contact, by=owner, at=LATER)
    assert not WrittenWord.objects.filter(word=SECRET.casefold()).exists()


def test_history_may_be_emptied_and_otherwise_the_database_itself_refuses() -> None:
    entry = Entry.objects.create(
        about="contact", about_id=1, verb="changed", field="name", old="A", new="B", at=NOON
    )
    raw = models.QuerySet(Entry).filter(pk=entry.pk)
    for change in (
        {"new": "C"},
        {"old": ""},
        {"old": "", "new": "", "verb": "x"},
        {"old": "", "new": "", "at": LATER},
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            raw.update(**change)
    if connection.vendor == "postgresql":
        with pytest.raises(DatabaseError), transaction.atomic():
            raw._raw_delete(using="default")
    assert empty(Entry.objects.filter(pk=entry.pk)) == 1
    assert empty(Entry.objects.filter(pk=entry.pk)) == 0
    entry.refresh_from_db()
    assert (entry.old, entry.new, entry.verb, entry.field) == ("", "", "changed", "name")


def test_the_file_has_all_that_is_theirs_and_nothing_of_the_shops_or_of_others(owner: User) -> None:
    contact = somebody(owner)
    sale = closed(contact=contact)
    HoldNotice.objects.create(hold=sale.inquiry.holds.get(), what="placed", channel="telephone", at=LATER)
    rival = held(InstrumentFactory(listed=True))
    InquiryFactory(contact=contact, instrument=rival.instrument)
    sale.instrument.floor_price = 9321
    sale.instrument.save()
    out = io.BytesIO()
    write_export(contact, out, shop="Harrow Lane Strings", at=LATER)
    with zipfile.ZipFile(out) as archive:
        names = archive.namelist()
        said = json.loads(archive.read("person.json"))
        everything = " ".join(archive.read(name).decode() for name in names)
        assert "what is not in here, and why" in archive.read("READ ME.txt").decode().casefold()
        assert "would like to know" in archive.read("mail/001.eml").decode()
        assert "The house of" in archive.read("attachments/001-0-quillonby.txt").decode()
    assert {person["name"] for person in said["person"]} == {f"Ada {SECRET}", f"Old {SECRET}"}
    assert said["person"][0]["country in words"] == "United States"
    assert [len(said[part]) for part in ("other e-mail addresses", "pieces owned", "seeks")] == [2, 1, 1]
    assert (
        len(said["threads"])
        == contact.inquiries.count()
        == sum(name.startswith("messages/") for name in names)
    )
    assert said["sales"][0]["ledger"]
    assert "Receipt" in {paper["kind"] for paper in said["sales"][0]["papers"]}
    assert [told["how"] for hold in said["holds"] for told in hold["told"]] == ["Telephone"]
    assert rival.contact.name not in everything
    assert "9321" not in everything
    assert str(owner) not in said


def test_only_the_owner_hands_out_and_erases_and_erasing_takes_two_steps(
    owners: Client, helpers: Client, owner: User
) -> None:
    contact = ContactFactory(name=SECRET)
    page = f"/desk/people/{contact.pk}/erase/"
    for path in (page, f"/desk/people/{contact.pk}/data.zip"):
        assert helpers.get(path).status_code == 403
    assert "Erase this person" not in helpers.get(f"/desk/people/{contact.pk}/").text
    shown = owners.get(page)
    assert "What stays, and why" in shown.text
    assert "not legal advice" in shown.text
    assert "Nothing was erased. Tick the box" in owners.post(page).text
    assert Contact.objects.get(pk=contact.pk).name == SECRET
    answer = owners.get(f"/desk/people/{contact.pk}/data.zip")
    assert zipfile.is_zipfile(io.BytesIO(b"".join(answer.streaming_content)))  # type: ignore[attr-defined]
    assert owners.post(page, {"sure": "on"})["Location"] == f"/desk/people/{contact.pk}/"
    after = owners.get(f"/desk/people/{contact.pk}/").text
    assert "was erased on" in after
    assert SECRET not in after.replace("What was known", "")


def test_the_pages_of_erased_mail_and_of_its_thread_still_open(owner: User, owners: Client) -> None:
    contact = somebody(owner)
    mail, threads = ReceivedMail.objects.get(), list(contact.inquiries.values_list("pk", flat=True))
    erase(contact, by=owner, at=LATER)
    drain()
    assert owners.get(f"/desk/mail/{mail.pk}/").status_code in {200, 302}
    assert owners.get(f"/desk/mail/{mail.pk}/whole.eml").status_code == 404
    for path in (
        "/desk/mail/",
        "/desk/inquiries/",
        "/desk/people/",
        *(f"/desk/inquiries/{pk}/" for pk in threads),
    ):
        page = owners.get(path)
        assert page.status_code == 200
        assert SECRET not in page.text
