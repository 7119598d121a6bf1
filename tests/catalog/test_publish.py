"""Preview, publish, withdraw."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Finding, Instrument, Provenance
from catalog.publishing.readiness import questions_for_publishing
from inquiries.models import Hold
from shop.models import Entry, User
from tests.factories import InquiryFactory, InstrumentFactory, PhotographFactory

pytestmark = pytest.mark.django_db


def ready_piece() -> Instrument:
    """A draft with everything that publishing asks for."""
    instrument = InstrumentFactory()
    part = instrument.kind.parts.get(slug="rim")
    Finding.objects.create(
        instrument=instrument, part=part, state="original", evidence="Stamp", examined_at=timezone.now()
    )
    for number, view in enumerate(instrument.kind.views.filter(required=True)):
        PhotographFactory(instrument=instrument, view=view, position=number, lead=number == 0)
    return instrument


def address(name: str, instrument: Instrument) -> str:
    return reverse(name, args=[instrument.stock_id])


def state(instrument: Instrument) -> str:
    return Instrument.objects.get(pk=instrument.pk).state


@pytest.mark.parametrize("name", ["preview", "publish", "withdraw"])
def test_a_stranger_is_sent_to_the_log_in(client: Client, name: str) -> None:
    instrument = ready_piece()
    for method in (client.get, client.post):
        if name != "preview" or method == client.get:
            assert method(address(name, instrument))["Location"].startswith(reverse("log-in"))
    assert state(instrument) == "draft"


def test_wrong_methods_are_refused(helpers_desk: Client) -> None:
    instrument = ready_piece()
    assert helpers_desk.post(address("preview", instrument)).status_code == 405
    assert helpers_desk.put(address("publish", instrument)).status_code == 405
    assert helpers_desk.put(address("withdraw", instrument)).status_code == 405


def test_the_preview_is_the_page_itself(client: Client, helpers_desk: Client) -> None:
    instrument = ready_piece()
    preview = helpers_desk.get(address("preview", instrument))
    assert "this is the page as the public would see it" in preview.content.decode()
    assert "public/listing.html" in [template.name for template in preview.templates]
    assert instrument.story in preview.content.decode()
    assert preview["Cache-Control"] == "private, no-store"
    helpers_desk.post(address("publish", instrument))
    instrument.refresh_from_db()
    page = client.get(instrument.get_absolute_url())
    assert page.templates[0].name == "public/listing.html"
    assert "as the public would see it" not in page.content.decode()


def test_looking_publishes_nothing(helpers_desk: Client) -> None:
    instrument = ready_piece()
    assert "Publish No." in helpers_desk.get(address("publish", instrument)).content.decode()
    assert state(instrument) == "draft"


def test_a_press_puts_it_on_the_public_side(client: Client, helpers_desk: Client, helper: User) -> None:
    instrument = ready_piece()
    public = instrument.get_absolute_url()
    assert client.get(public).status_code == 404
    assert helpers_desk.post(address("publish", instrument)).status_code == 302
    assert client.get(public).status_code == 200
    now = Instrument.objects.get(pk=instrument.pk)
    assert now.listed_at is not None
    entry = Entry.objects.get(about="instrument", about_id=instrument.pk, field="state")
    assert (entry.old, entry.new, entry.by) == ("Draft", "Listed", helper)


def test_a_second_press_changes_nothing_and_says_how_it_stands(helpers_desk: Client) -> None:
    instrument = ready_piece()
    helpers_desk.post(address("publish", instrument))
    first = Instrument.objects.get(pk=instrument.pk).listed_at
    again = helpers_desk.post(address("publish", instrument))
    assert "It stands as “Listed”" in again.content.decode()
    assert Instrument.objects.get(pk=instrument.pk).listed_at == first
    assert Entry.objects.filter(about_id=instrument.pk, field="state").count() == 1


def test_what_is_missing_is_refused_with_a_link_to_each_field(client: Client, helpers_desk: Client) -> None:
    instrument = InstrumentFactory(
        maker=None,
        model=None,
        made="",
        configuration_now=None,
        grade="",
        condition="",
        story="",
        asking_price=None,
    )
    answer = helpers_desk.post(address("publish", instrument))
    page = answer.content.decode()
    record = address("record", instrument)
    links = [
        f"{record}identity/#id_maker",
        f"{record}identity/#id_made",
        f"{record}identity/#id_configuration_now",
        f"{record}parts/",
        f"{record}condition/#id_grade",
        f"{record}condition/#id_condition",
        f"{record}story/#id_story",
        f"{record}price/#id_asking_price",
        f"{record}pictures/",
    ]
    section = page[page.index('<section class="confirm">') :]
    assert [part.split('"')[0] for part in section.split('<li><a href="')[1:]] == links
    assert answer.status_code == 200
    assert state(instrument) == "draft"
    for link in links:
        path, _, field = link.partition("#")
        there = helpers_desk.get(path)
        assert there.status_code == 200
        assert not field or f'id="{field}"' in there.content.decode()


def test_a_needed_view_and_a_lead_are_asked_for(helpers_desk: Client) -> None:
    instrument = ready_piece()
    view = instrument.kind.views.filter(required=True).last()
    assert view is not None
    instrument.photographs.filter(view=view).delete()
    instrument.photographs.update(lead=False)
    page = helpers_desk.get(address("publish", instrument)).content.decode()
    assert f"No picture shows: {view.name.lower()}." in page
    assert "No lead picture is chosen." in page


def test_a_part_noted_as_not_examined_is_no_examination(helpers_desk: Client) -> None:
    instrument = ready_piece()
    Finding.objects.update(state="not-examined")
    assert "No part has been examined." in helpers_desk.get(address("publish", instrument)).content.decode()


def test_withdrawing_asks_first_and_takes_it_down(client: Client, helpers_desk: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    assert helpers_desk.get(address("withdraw", instrument)).status_code == 200
    assert state(instrument) == "listed"
    assert helpers_desk.post(address("withdraw", instrument)).status_code == 302
    assert client.get(instrument.get_absolute_url()).status_code == 404
    again = helpers_desk.post(address("withdraw", instrument))
    assert "It stands as “Withdrawn”" in again.content.decode()


def test_a_piece_on_hold_stays_up(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    now = timezone.now()
    inquiry = InquiryFactory(instrument=instrument)
    Hold.objects.create(
        instrument=instrument,
        inquiry=inquiry,
        contact=inquiry.contact,
        state=Hold.State.ACTIVE,
        hours=48,
        asked_at=now,
        starts_at=now - timedelta(hours=1),
        until=now + timedelta(hours=47),
    )
    answer = helpers_desk.post(address("withdraw", instrument))
    assert "Somebody has a hold or a sale on it." in answer.content.decode()
    assert state(instrument) == "listed"


def test_published_again_it_keeps_its_first_day(helpers_desk: Client) -> None:
    instrument = ready_piece()
    first = timezone.now() - timedelta(days=90)
    Instrument.objects.filter(pk=instrument.pk).update(state="withdrawn", listed_at=first)
    helpers_desk.post(address("publish", instrument))
    now = Instrument.objects.get(pk=instrument.pk)
    assert (now.state, now.listed_at) == ("listed", first)


def test_a_text_that_names_who_has_not_agreed_stops_publishing(helpers_desk: Client) -> None:
    instrument = ready_piece()
    owned = Provenance.objects.create(
        instrument=instrument, kind="owned", when="1950", public="A player.", person="Orla Fennick"
    )
    Instrument.objects.filter(pk=instrument.pk).update(story="Bought by Fennick for the band.")
    page = helpers_desk.post(address("publish", instrument)).content.decode()
    assert "the story names “Fennick”, who has not agreed to be named" in page.lower().replace(
        "fennick", "Fennick"
    )
    assert state(instrument) == "draft"
    Provenance.objects.filter(pk=owned.pk).update(consent_on=timezone.localdate(), consent_how="By letter.")
    helpers_desk.post(address("publish", instrument))
    assert state(instrument) == "listed"


def test_no_text_that_buyers_read_names_who_has_not_agreed(helpers_desk: Client) -> None:
    """Wherever it is written: beside a part, on a picture, with what comes along, in what dates it."""
    instrument = ready_piece()
    owned = Provenance.objects.create(
        instrument=instrument, kind="owned", when="1950", public="A player.", person="Orla Fennick"
    )
    says = "From Fennick"
    Finding.objects.create(
        instrument=instrument,
        part=instrument.kind.parts.get(slug="tuners"),
        state="later",
        evidence=says,
        note=says,
        original_kept=True,
        original_where=says,
        work_by="Orla Fennick",
        examined_at=timezone.now(),
    )
    instrument.numbers.create(value="4417", where=says)
    instrument.dating.create(kind="other", says=says, when="1931", source=says, note="Fennick, at the desk")
    instrument.unusual.create(what="Inlay", seen="moon", verdict="later", evidence=says, at=timezone.now())
    instrument.included.create(what=says)
    instrument.papers.create(kind="bill", copy="seen", title=says, token="7" * 32, received_at=timezone.now(),
                             public=True)  # fmt: skip
    instrument.papers.create(kind="bill", copy="seen", title=says, token="8" * 32, received_at=timezone.now())
    instrument.photographs.update(caption="")
    instrument.photographs.filter(lead=True).update(caption=says)
    instrument.recordings.create(
        what="sound", title=says, original_name="a.wav", sha256="0" * 64, suffix="wav", bytes=1,
        received_at=timezone.now(),
    )  # fmt: skip
    named = [one for one in questions_for_publishing(instrument) if "names “Fennick”" in one.says]
    assert [(one.section, one.field) for one in named] == [
        ("parts", "tuners-evidence"),
        ("parts", "tuners-note"),
        ("parts", "tuners-original_where"),
        ("numbers", "numbers-0-where"),
        ("dating", "dating-0-says"),
        ("dating", "dating-0-source"),
        ("unusual", ""),
        ("included", "included-0-what"),
        (f"papers/{'7' * 32}", "title"),
        ("pictures", ""),
        ("recordings", ""),
    ]
    assert "the finding on the tuners names “Fennick”" in named[0].says
    for one in named:
        page = helpers_desk.get(f"{address('record', instrument)}{one.section}/").content.decode()
        assert not one.field or f'id="id_{one.field}"' in page, one
    Provenance.objects.filter(pk=owned.pk).update(consent_on=timezone.localdate(), consent_how="By letter.")
    assert [one for one in questions_for_publishing(instrument) if "Fennick" in one.says] == []


def test_a_listed_piece_whose_record_changed_says_what_it_can_no_longer_carry(helpers_desk: Client) -> None:
    instrument = ready_piece()
    Finding.objects.create(
        instrument=instrument,
        part=instrument.kind.parts.get(slug="tuners"),
        state="original",
        seen="eye",
        examined_at=timezone.now(),
    )
    Instrument.objects.filter(pk=instrument.pk).update(story="It has its original tuners.")
    helpers_desk.post(address("publish", instrument))
    assert state(instrument) == "listed"
    overview = address("record", instrument)
    assert "what the record does not carry" not in helpers_desk.get(overview).content.decode()
    instrument.findings.filter(part__slug="tuners").update(state="later")
    assert "what the record does not carry" in helpers_desk.get(overview).content.decode()
