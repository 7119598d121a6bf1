"""Two contacts are one person: nothing is lost on the way there, nor on the way back."""

from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.db import models

from inquiries.models import (
    Contact,
    Inquiry,
    Merge,
    NotTheSame,
    OtherAddress,
    OwnedPiece,
    PostalAddress,
    Want,
    WordOfThread,
    WrittenWord,
)
from inquiries.people.actions import add_email, change_contact, contact_for
from inquiries.people.merge_actions import bring_strays, merge, tell_apart, undo
from inquiries.people.queries import known_by
from inquiries.people.relations import OF_TWO, Pointer, pointers
from inquiries.search.indexing import read_all
from inquiries.threads.actions import receive_question
from inquiries.threads.turns import with_turns
from shop.history.queries import history_of
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory, OwnerFactory, ShopFactory
from tests.inquiries.steps import ask, closed, held

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(days=1)


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory()


@pytest.fixture
def owner() -> User:
    found: User = OwnerFactory()
    return found


@pytest.fixture
def kept() -> Contact:
    found: Contact = ContactFactory(name="Ruth Jarviston", email="ruth@lane.example")
    return found


@pytest.fixture
def gone() -> Contact:
    found: Contact = ContactFactory(name="R. Jarviston", email="rj@work.example", note="Plays tenor.")
    return found


def everything(of: Contact) -> None:
    """One row of each model that names a person."""
    OtherAddress.objects.create(contact=of, email=f"other{of.pk}@post.example")
    PostalAddress.objects.create(contact=of, label="Workshop", lines="2 Mill Lane", country="US")
    OwnedPiece.objects.create(contact=of, what="A tenor banjo", noted_at=NOON)
    Want.objects.create(contact=of, sought="A mandola", asked_at=NOON)
    ask(InquiryFactory(contact=of), at=NOON)
    held(contact=of)
    closed(contact=of)


def shop_as_it_is() -> dict[str, list[dict[str, Any]]]:
    """Every row of every room that people stand in, but for history, the merges, and words worked out from letters."""
    left_out = {Merge, WordOfThread, WrittenWord}
    rooms = [model for model in apps.get_app_config("inquiries").get_models() if model not in left_out]
    return {model._meta.label: list(model._base_manager.order_by("pk").values()) for model in rooms}


def names_a_person() -> set[str]:
    """Every field that names a person, found without asking the room how it finds them."""
    return {
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models(include_auto_created=True)
        for field in model._meta.get_fields()
        if field.concrete and isinstance(field, models.ForeignKey) and field.related_model is Contact
    }


def test_every_field_that_names_a_person_is_brought_over_or_known_to_be_of_two(
    kept: Contact, gone: Contact, owner: User
) -> None:
    everything(gone)
    moving = {pointer.label for pointer in pointers()}
    assert moving | OF_TWO == names_a_person()
    assert not moving & OF_TWO
    merge(kept, gone, by=owner, at=NOON)
    for pointer in pointers():
        assert pointer.rows([kept.pk]).exists(), f"{pointer.label} has a row in this test"
        assert not pointer.rows([gone.pk]).exists(), pointer.label


def test_a_model_that_comes_later_is_brought_over_too(kept: Contact, gone: Contact, owner: User) -> None:
    class Postcard(models.Model):  # noqa: DJ008 - it is never shown
        person = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="+")

        class Meta:
            app_label = "inquiries"

    try:
        Contact._meta._expire_cache()  # type: ignore[attr-defined]
        assert Pointer(Postcard, "person") in pointers()
    finally:
        del apps.all_models["inquiries"]["postcard"]
        apps.clear_cache()
    assert "Postcard" not in {pointer.model.__name__ for pointer in pointers()}


def test_a_merge_undone_leaves_the_shop_as_it_was(kept: Contact, gone: Contact, owner: User) -> None:
    everything(kept)
    everything(gone)
    piece = InstrumentFactory(listed=True)
    for contact, hours in ((gone, 3), (kept, 2)):
        inquiry = InquiryFactory(contact=contact, instrument=piece, opened_at=NOON - timedelta(hours=hours))
        ask(inquiry, at=NOON - timedelta(hours=hours))
    third = ContactFactory()
    tell_apart(kept, gone, by=owner, at=NOON)
    tell_apart(gone, third, by=owner, at=NOON)
    before = shop_as_it_is()
    merged = merge(kept, gone, by=owner, at=NOON)
    assert shop_as_it_is() != before
    undo(merged, by=owner, at=LATER)
    after = shop_as_it_is()
    for rows in (before["inquiries.NotTheSame"], after["inquiries.NotTheSame"]):
        rows[:] = sorted(({**row, "id": None} for row in rows), key=lambda row: row["first_id"])
    assert after == before
    words = set(WordOfThread.objects.values_list("inquiry", "known__word", "in_name"))
    read_all()
    assert words == set(WordOfThread.objects.values_list("inquiry", "known__word", "in_name"))
    undo(merged, by=owner, at=LATER)
    assert history_of(kept).filter(verb="merge undone").count() == 1


def test_what_came_since_stays_with_the_kept_one(kept: Contact, gone: Contact, owner: User) -> None:
    everything(gone)
    merged = merge(kept, gone, by=owner, at=NOON)
    new = InquiryFactory(contact=kept)
    own = OwnedPiece.objects.create(contact=kept, what="A guitar", noted_at=LATER)
    kept.refresh_from_db()
    change_contact(kept, {"note": f"{kept.note}\nCalls after six.", "telephone": "12"}, by=owner, at=LATER)
    undo(merged, by=owner, at=LATER)
    new.refresh_from_db(), own.refresh_from_db(), kept.refresh_from_db()
    assert new.contact_id == own.contact_id == kept.pk
    assert (kept.note, kept.telephone) == ("\nCalls after six.", "12")
    assert gone.owned.exists()


def test_what_is_empty_is_filled_in_and_what_differs_is_kept_beside(owner: User) -> None:
    kept = ContactFactory(
        name="Ruth Jarviston", email="", telephone="518 555 0199", country="US", note="Kind."
    )
    gone = ContactFactory(
        name="Ruth Jarvis",
        email="rj@work.example",
        telephone="030 23125318",
        address="Lindengasse 22\n01234 Altenmoor",
        country="DE",
        languages="de",
        reach_by="letter",
        resale_certificate="77-1",
        resale_state="New York",
        note="Plays tenor.",
    )
    merged = merge(kept, gone, by=owner, at=NOON)
    kept.refresh_from_db(), gone.refresh_from_db()
    assert (kept.email, gone.email) == ("rj@work.example", "")
    assert (kept.address.splitlines()[0], kept.country) == ("Lindengasse 22", "DE")
    assert (kept.languages, kept.reach_by, kept.resale_certificate) == ("de", "letter", "77-1")
    assert (kept.telephone, kept.telephone_e164) == ("+1 518-555-0199", "+15185550199"), "now under Germany"
    assert kept.note.splitlines() == [
        "Kind.",
        "Also known as Ruth Jarvis.",
        "Another telephone number: 030 23125318.",
        "Plays tenor.",
    ]
    undo(merged, by=owner, at=LATER)
    kept.refresh_from_db(), gone.refresh_from_db()
    assert (kept.email, gone.email, kept.note, kept.country) == ("", "rj@work.example", "Kind.", "US")
    assert (kept.telephone, kept.address) == ("518 555 0199", "")


def test_differing_addresses_become_other_addresses(owner: User) -> None:
    kept = ContactFactory(email="ruth@lane.example", address="4 Mill Lane\nTamsen Corners", country="US")
    gone = ContactFactory(email="rj@work.example", address="Lindengasse 22\nAltenmoor", country="DE")
    merge(kept, gone, by=owner, at=NOON)
    assert [other.email for other in kept.other_addresses.all()] == ["rj@work.example"]
    assert [(place.lines, place.country) for place in kept.postal_addresses.all()] == [
        ("Lindengasse 22\nAltenmoor", "DE")
    ]
    assert known_by("RJ@work.example") == kept


def test_mail_and_questions_from_the_gone_one_find_the_kept_one(
    kept: Contact, gone: Contact, owner: User
) -> None:
    piece = InstrumentFactory(listed=True)
    merge(kept, gone, by=owner, at=NOON)
    asked = {"name": "R. J.", "email": "RJ@work.example", "telephone": "", "text": "Is it there?"}
    inquiry = receive_question(piece, at=LATER, **asked)
    assert inquiry.contact == kept
    last = ContactFactory()
    merge(last, kept, by=owner, at=LATER)
    assert contact_for("R. J.", "rj@work.example", at=LATER) == last
    assert contact_for("Ruth", "ruth@lane.example", at=LATER) == last


def test_two_open_threads_on_one_piece_become_the_older_one(
    kept: Contact, gone: Contact, owner: User
) -> None:
    piece = InstrumentFactory(listed=True)
    older = InquiryFactory(contact=gone, instrument=piece, opened_at=NOON - timedelta(days=3))
    newer = InquiryFactory(contact=kept, instrument=piece, opened_at=NOON - timedelta(days=2))
    words = [ask(older, at=NOON - timedelta(days=3)), ask(newer, at=NOON - timedelta(days=2))]
    merge(kept, gone, by=owner, at=NOON)
    older.refresh_from_db(), newer.refresh_from_db()
    assert (older.contact, older.done_at, newer.done_at) == (kept, None, NOON)
    assert list(older.messages.all()) == words
    assert not newer.messages.exists()
    for inquiry in with_turns(Inquiry.objects.filter(contact=kept)):
        assert inquiry.last_at == inquiry.true_last_at  # type: ignore[attr-defined]


def test_two_open_threads_on_another_matter_are_joined_as_well(
    kept: Contact, gone: Contact, owner: User
) -> None:
    for contact, matter in ((kept, "A repair"), (gone, "a REPAIR"), (gone, "A valuation")):
        InquiryFactory(contact=contact, instrument=None, matter=matter)
    merge(kept, gone, by=owner, at=NOON)
    standing = kept.inquiries.filter(done_at__isnull=True)
    assert sorted(inquiry.matter for inquiry in standing) == ["A repair", "A valuation"]


def test_two_holds_on_one_piece_are_refused_with_what_to_do(owner: User) -> None:
    piece = InstrumentFactory(listed=True)
    one, other = held(piece), held(piece)
    before = shop_as_it_is()
    with pytest.raises(Refused, match=rf"Both have a hold on No\. {piece.stock_id}.*Release one of the two"):
        merge(one.contact, other.contact, by=owner, at=NOON)
    assert shop_as_it_is() == before


def test_what_cannot_be_merged_says_so(kept: Contact, gone: Contact, owner: User) -> None:
    third = ContactFactory()
    with pytest.raises(Refused, match="with themselves"):
        merge(kept, kept, by=owner, at=NOON)
    first = merge(kept, gone, by=owner, at=NOON)
    assert merge(kept, gone, by=owner, at=LATER) == first, "pressed twice"
    with pytest.raises(Refused, match="was merged into Ruth Jarviston meanwhile"):
        merge(third, gone, by=owner, at=NOON)
    with pytest.raises(Refused, match="was merged into Ruth Jarviston meanwhile"):
        merge(gone, kept, by=owner, at=NOON)
    merge(third, kept, by=owner, at=LATER)
    with pytest.raises(Refused, match="was merged further"):
        undo(first, by=owner, at=LATER)


def test_an_address_that_is_somebody_elses_by_now_is_not_taken_back(
    kept: Contact, gone: Contact, owner: User
) -> None:
    merged = merge(kept, gone, by=owner, at=NOON)
    kept.other_addresses.all().delete()
    other = contact_for("Nell", "rj@work.example", at=LATER)
    with pytest.raises(Refused, match=r"Nell is known by rj@work.example by now"):
        undo(merged, by=owner, at=LATER)
    assert other.email == "rj@work.example"


def test_strays_of_the_very_moment_are_brought_over(kept: Contact, gone: Contact, owner: User) -> None:
    piece = InstrumentFactory(listed=True)
    open_one = InquiryFactory(contact=kept, instrument=piece, opened_at=NOON)
    merged = merge(kept, gone, by=owner, at=NOON)
    # Another press had read the person before the merge, and writes after it.
    stray = InquiryFactory(contact=gone, instrument=piece, opened_at=LATER)
    word = ask(stray, at=LATER)
    assert bring_strays(LATER) == 1
    assert bring_strays(LATER) == 0
    stray.refresh_from_db(), word.refresh_from_db()
    assert (stray.contact, stray.done_at, word.inquiry) == (kept, LATER, open_one)
    merged.refresh_from_db()
    undo(merged, by=owner, at=LATER)
    stray.refresh_from_db(), word.refresh_from_db()
    assert (stray.contact, stray.done_at, word.inquiry) == (gone, None, stray)


def test_history_stands_on_both_and_who_is_told_apart_is_told_once(
    kept: Contact, gone: Contact, owner: User
) -> None:
    tell_apart(gone, kept, by=owner, at=NOON)
    tell_apart(kept, gone, by=owner, at=NOON)
    assert NotTheSame.objects.count() == 1
    merge(kept, gone, by=owner, at=NOON)
    assert [(e.verb, e.new) for e in history_of(kept)[:1]] == [("merged with", "R. Jarviston")]
    assert [(e.verb, e.new) for e in history_of(gone)[:1]] == [("merged into", "Ruth Jarviston")]


def test_an_address_changes_places_with_the_first(kept: Contact, gone: Contact, owner: User) -> None:
    add_email(kept, "New@lane.example", by=owner, at=NOON)
    add_email(kept, "new@LANE.example", by=owner, at=NOON)
    assert kept.other_addresses.count() == 1
    change_contact(kept, {"email": "new@lane.example"}, by=owner, at=NOON)
    kept.refresh_from_db()
    assert (kept.email, kept.other_addresses.get().email) == ("new@lane.example", "ruth@lane.example")
    for taken in ("rj@work.example", "RUTH@lane.example"):
        with pytest.raises(Refused):
            add_email(gone if taken.startswith("RUTH") else kept, taken, by=owner, at=NOON)
