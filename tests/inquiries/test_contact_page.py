"""A person at the desk: what letters and receipts are addressed to, and who changed it."""

import pytest
from django.test import Client

from inquiries.models import Contact
from inquiries.people.actions import change_contact
from shop.history.queries import history_of
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, InquiryFactory, OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db
GIVEN = {
    "name": "Ruth Jarviston",
    "email": "ruth@lane.example",
    "telephone": "+1 518 555 0199",
    "address": "4 Mill Lane\nTamsen Corners",
    "country": "US",
    "languages": "German, en",
    "reach_by": "letter",
    "note": "Calls after six.",
}


@pytest.fixture
def contact() -> Contact:
    ShopFactory()
    found: Contact = InquiryFactory().contact
    Contact.objects.filter(pk=found.pk).update(
        name="Ruth", email="ruth@lane.example", telephone="", address=""
    )
    found.refresh_from_db()
    return found


@pytest.fixture
def helper(client: Client) -> User:
    someone: User = HelperFactory()
    client.force_login(someone, backend="django.contrib.auth.backends.ModelBackend")
    return someone


def test_a_helper_mends_an_address_and_each_change_is_history(
    contact: Contact, helper: User, client: Client
) -> None:
    answer = client.post(f"/desk/people/{contact.pk}/", GIVEN)
    contact.refresh_from_db()
    assert answer["Location"] == f"/desk/people/{contact.pk}/"
    assert (contact.name, contact.country, contact.languages) == ("Ruth Jarviston", "US", "de, en")
    assert contact.address.splitlines() == ["4 Mill Lane", "Tamsen Corners"]
    rows = {entry.field: (entry.old, entry.new, entry.by) for entry in history_of(contact)}
    assert rows["name"] == ("Ruth", "Ruth Jarviston", helper)
    assert set(rows) == {
        "name",
        "telephone",
        "address",
        "country",
        "languages",
        "likes to be reached by",
        "private note",
    }


def test_saving_what_stands_writes_no_history(contact: Contact, helper: User, client: Client) -> None:
    client.post(f"/desk/people/{contact.pk}/", GIVEN)
    before = history_of(contact).count()
    client.post(f"/desk/people/{contact.pk}/", GIVEN)
    assert history_of(contact).count() == before


def test_the_address_of_somebody_else_is_refused_and_what_was_typed_stays(
    contact: Contact, helper: User, client: Client
) -> None:
    Contact.objects.create(name="Other", email="Other@lane.example", created_at=NOON)
    answer = client.post(f"/desk/people/{contact.pk}/", GIVEN | {"email": "other@LANE.example"})
    assert answer.context["form"].errors["email"] == ["Somebody else is known by this e-mail address."]
    assert "Calls after six." in answer.content.decode()
    contact.refresh_from_db()
    assert (contact.name, contact.email) == ("Ruth", "ruth@lane.example")


def test_the_deed_itself_refuses_it_and_changes_nothing(contact: Contact) -> None:
    Contact.objects.create(name="Other", email="other@lane.example", created_at=NOON)
    with pytest.raises(Refused) as refusal:
        change_contact(contact, {"name": "R.", "email": "OTHER@lane.example"}, by=OwnerFactory(), at=NOON)
    assert refusal.value.code == "e-mail-taken"
    contact.refresh_from_db()
    assert contact.name == "Ruth"
    assert not history_of(contact).exists()


def test_a_country_that_is_none_is_refused(contact: Contact, helper: User, client: Client) -> None:
    answer = client.post(f"/desk/people/{contact.pk}/", GIVEN | {"country": "QQ"})
    assert answer.context["form"].errors["country"] == ["This is no country. Choose one from the list."]


def test_nobody_is_not_found_and_a_stranger_is_sent_to_the_log_in(contact: Contact, client: Client) -> None:
    assert client.get(f"/desk/people/{contact.pk}/")["Location"].startswith("/desk/log-in/")
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/desk/people/999999/").status_code == 404


def test_the_thread_and_the_page_lead_to_one_another(contact: Contact, helper: User, client: Client) -> None:
    inquiry = contact.inquiries.get()
    assert f"/desk/people/{contact.pk}/" in client.get(f"/desk/inquiries/{inquiry.pk}/").content.decode()
    assert f"/desk/inquiries/{inquiry.pk}/" in client.get(f"/desk/people/{contact.pk}/").content.decode()
