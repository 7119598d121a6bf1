"""The list of people, one person's page, and two laid side by side."""

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inquiries.models import Contact, Merge, OtherAddress, PostalAddress
from inquiries.people.merge_actions import merge
from inquiries.people.queries import perhaps_also, perhaps_one
from shop.models import ShopProfile, User
from tests.factories import NOON, ContactFactory, InquiryFactory
from tests.inquiries.steps import ask, closed, held

pytestmark = pytest.mark.django_db
LANE = "4 Mill Lane\nTamsen Corners, New York 12099"


@pytest.fixture
def ruth(profile: ShopProfile) -> Contact:
    found: Contact = ContactFactory(
        name="Ruth Jarviston",
        email="ruth@lane.example",
        telephone="(518) 555-0199",
        address=LANE,
        country="US",
    )
    return found


@pytest.mark.parametrize(
    "typed",
    [
        "ruth",
        "JARVISTON ruth",
        "ruth@lane",
        "work.example",
        "518.555.0199",
        "+1 518 555 0199",
        "5550199",
        "R. J.",
    ],
)
def test_a_person_is_found_by_name_address_or_number_typed_in_any_way(
    typed: str, ruth: Contact, helpers: Client, owner: User
) -> None:
    OtherAddress.objects.create(contact=ruth, email="rj@work.example")
    merge(ruth, ContactFactory(name="R. J."), by=owner, at=NOON)
    ContactFactory(name="Owen Castellan", telephone="+49 30 23125318")
    page = helpers.get("/desk/people/", {"q": typed})
    assert [contact.pk for contact in page.context["page_obj"]] == [ruth.pk]


def test_nobody_is_found_by_what_nobody_has(ruth: Contact, helpers: Client) -> None:
    assert "Nobody answers to that." in helpers.get("/desk/people/", {"q": "zither"}).text
    assert "Nobody answers to that." in helpers.get("/desk/people/", {"q": "ruth zither"}).text


def test_the_list_costs_the_same_number_of_queries_whoever_is_on_it(ruth: Contact, helpers: Client) -> None:
    def cost() -> int:
        with CaptureQueriesContext(connection) as queries:
            page = helpers.get("/desk/people/").context["page_obj"]
        assert len(page) == min(50, Contact.objects.count())
        return len(queries)

    for number in range(2):
        ask(InquiryFactory(contact=ContactFactory(name=f"First {number}")), at=NOON)
    few = cost()
    for number in range(60):
        person = ContactFactory(name=f"Asker {number}", telephone="+1 518 555 0114", country="US")
        if number % 20 == 0:
            ask(InquiryFactory(contact=person), at=NOON)
    assert cost() == few


def test_the_list_leaves_out_who_was_merged_or_erased(ruth: Contact, helpers: Client, owner: User) -> None:
    gone = ContactFactory(name="R. J.")
    merge(ruth, gone, by=owner, at=NOON)
    ContactFactory(name="Erased person", erased_at=NOON)
    listed = helpers.get("/desk/people/").context["page_obj"]
    assert [contact.name for contact in listed] == ["Ruth Jarviston"]


def test_the_page_shows_every_way_to_reach_somebody(ruth: Contact, helpers: Client) -> None:
    Contact.objects.filter(pk=ruth.pk).update(languages="de, en", reach_by="letter")
    PostalAddress.objects.create(
        contact=ruth, label="Holiday house", lines="Lindengasse 22\n01234 Altenmoor", country="DE"
    )
    page = helpers.get(f"/desk/people/{ruth.pk}/").text
    assert "speaks German, English" in page
    assert "likes to be reached by letter" in page
    assert '<a href="tel:+15185550199">(518) 555-0199</a>' in page
    assert "01234 Altenmoor<br>GERMANY" in page
    assert "UNITED STATES" not in page, "not on a letter within the country"


def test_a_shop_abroad_sees_the_number_as_it_is_dialled_there(
    ruth: Contact, helpers: Client, profile: ShopProfile
) -> None:
    ShopProfile.objects.filter(pk=profile.pk).update(country="DE")
    page = helpers.get(f"/desk/people/{ruth.pk}/").text
    assert "+1 518-555-0199</a>" in page
    assert "UNITED STATES" in page


def test_an_unreadable_number_is_kept_as_typed_and_the_page_says_so(ruth: Contact, helpers: Client) -> None:
    typed = {"name": "Ruth", "email": "", "telephone": "ask at the mill", "reach_by": "any"}
    answer = helpers.post(f"/desk/people/{ruth.pk}/", typed, follow=True)
    ruth.refresh_from_db()
    assert (ruth.telephone, ruth.telephone_e164) == ("ask at the mill", "")
    assert "could not be read as a number, so it is shown as it stands" in answer.text
    assert "Kept as typed" in answer.text


def test_a_number_without_a_country_is_one_of_the_shops(profile: ShopProfile) -> None:
    ShopProfile.objects.filter(pk=profile.pk).update(country="DE")
    assert ContactFactory(telephone="030 23125318", country="").telephone_e164 == "+493023125318"


def test_a_language_that_is_none_is_refused_and_what_was_typed_stays(ruth: Contact, helpers: Client) -> None:
    typed = {"name": "Ruth", "reach_by": "any", "languages": "German, Corvanese", "note": "Kind."}
    page = helpers.post(f"/desk/people/{ruth.pk}/", typed).text
    assert "“Corvanese” is no language we know." in page
    assert "German, Corvanese" in page
    assert "Kind." in page


def test_what_they_bought_is_owned_and_more_can_be_noted(ruth: Contact, helpers: Client) -> None:
    sale = closed(contact=ruth)
    helpers.post(f"/desk/people/{ruth.pk}/owns/", {"what": "A parlour guitar", "note": "Seen in 2024"})
    page = helpers.get(f"/desk/people/{ruth.pk}/")
    assert [one.number for one in page.context["bought"]] == [sale.number]
    assert "A parlour guitar" in page.text
    helpers.post(f"/desk/people/owned/{ruth.owned.get().pk}/remove/")
    assert not ruth.owned.exists()


def test_a_hold_and_a_certificate_that_ran_out_are_shown(ruth: Contact, helpers: Client) -> None:
    held(contact=ruth)
    Contact.objects.filter(pk=ruth.pk).update(resale_certificate="77-1", resale_until=date(2026, 6, 9))
    page = helpers.get(f"/desk/people/{ruth.pk}/").text
    assert "<h2>Holds</h2>" in page
    assert "Ran out" in page
    Contact.objects.filter(pk=ruth.pk).update(resale_until=date(2026, 6, 10))
    assert "good until 10 June 2026" in helpers.get(f"/desk/people/{ruth.pk}/").text


def test_addresses_are_added_mended_and_removed(ruth: Contact, helpers: Client) -> None:
    here = f"/desk/people/{ruth.pk}/"
    assert helpers.post(f"{here}e-mail/", {"email": "rj@work.example"})["Location"] == here
    other = ruth.other_addresses.get()
    helpers.post(f"/desk/people/e-mail/{other.pk}/first/")
    ruth.refresh_from_db()
    assert (ruth.email, ruth.other_addresses.get().email) == ("rj@work.example", "ruth@lane.example")
    helpers.post(f"/desk/people/e-mail/{ruth.other_addresses.get().pk}/remove/")
    assert not ruth.other_addresses.exists()
    ContactFactory(name="Nell", email="nell@post.example")
    assert "Nell is known by this e-mail address. If the two are one person, merge them." in (
        helpers.post(f"{here}e-mail/", {"email": "NELL@post.example"}).text
    )
    helpers.post(f"{here}place/", {"label": "Home", "lines": LANE, "country": "US"})
    place = ruth.postal_addresses.get()
    helpers.post(f"/desk/people/places/{place.pk}/", {"label": "Home", "lines": LANE, "country": "CA"})
    place.refresh_from_db()
    assert place.country == "CA"
    assert "This field is required" in helpers.post(f"{here}place/", {"label": "Work"}).text
    helpers.post(f"/desk/people/places/{place.pk}/", {"remove": "yes"})
    assert not ruth.postal_addresses.exists()


def test_two_who_look_alike_are_suggested_merged_and_parted_by_hand_alone(
    ruth: Contact, helpers: Client
) -> None:
    twin = ContactFactory(name="R. Jarviston", email="ruth+banjos@lane.example")
    page = helpers.get("/desk/people/alike/").text
    assert "Both write from ruth@lane.example." in page
    assert "Perhaps the same person" in helpers.get(f"/desk/people/{twin.pk}/").text
    side = helpers.get(f"/desk/people/{ruth.pk}/merge/{twin.pk}/")
    assert "Are R. Jarviston and Ruth Jarviston one person?" in side.text
    assert not Merge.objects.exists(), "looking merges nothing"
    helpers.post(f"/desk/people/{ruth.pk}/merge/{twin.pk}/")
    leads = helpers.get(f"/desk/people/{twin.pk}/", follow=True)
    assert leads.redirect_chain == [(f"/desk/people/{ruth.pk}/", 302)]
    assert "R. Jarviston was merged into Ruth Jarviston, whose page this is." in leads.text
    assert "Both write from" not in helpers.get("/desk/people/alike/").text
    helpers.post(f"/desk/people/merges/{Merge.objects.get().pk}/undo/")
    assert "Both write from" in helpers.get("/desk/people/alike/").text
    helpers.post(f"/desk/people/{ruth.pk}/apart/{twin.pk}/")
    assert "Nobody looks like anybody else." in helpers.get("/desk/people/alike/").text
    assert "Perhaps the same person" not in helpers.get(f"/desk/people/{twin.pk}/").text


def test_one_persons_suggestions_are_those_of_the_list(ruth: Contact) -> None:
    PostalAddress.objects.create(
        contact=ruth, label="Work", lines="9 Pine Road\nNorth Lake ON K1A 0B1", country="CA"
    )
    ContactFactory(name="X", email="RUTH+x@LANE.example")
    ContactFactory(name="X", email="", telephone="518.555.0199")
    ContactFactory(name="Jarviston, Ruth", address="The Barn\nTamsen Corners NY 12099-4431", country="US")
    ContactFactory(
        name="Ruth Jarvistone", address="4 MILL LANE\nTamsen Corners, New York, 12099", country="US"
    )
    ContactFactory(name="Ruth Jarviston", address="1 Elm\nNorth Lake K1A0B1", country="CA")
    ContactFactory(name="Owen", address="8 Elm\nTamsen Corners, New York 12099", country="US")
    mine = [alike for alike in perhaps_one() if ruth.pk in {alike.first, alike.second}]
    assert len(mine) == 5
    assert sorted(perhaps_also(ruth)) == sorted(mine)


def test_a_refusal_stands_on_the_page_with_what_to_do(helpers: Client) -> None:
    first = held()
    second = held(first.instrument)
    page = helpers.post(f"/desk/people/{first.contact_id}/merge/{second.contact_id}/").text
    assert f"Both have a hold on No. {first.instrument.stock_id}" in page
    same = helpers.get(f"/desk/people/{first.contact_id}/merge/{first.contact_id}/").text
    assert "A person cannot be merged with themselves." in same
