"""Until when a piece is on hold, on its public page: by the clock of the shop, never for whom.

The local times are those of the IANA time zone database, by way of `zoneinfo`.
"""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.instruments.availability import held_until
from catalog.models import Instrument
from inquiries.models import Hold, HoldNotice
from inquiries.sales.hold_actions import extend_hold, place_hold, release_hold
from inquiries.sales.hold_letters import letter
from shop.models import HousePolicy, ShopProfile, User
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.conftest import BACKEND, Clock
from tests.inquiries.steps import held, opened

HOUR = timedelta(hours=1)
TICK = timedelta(microseconds=1)


@pytest.fixture
def piece(profile: ShopProfile, clock: Clock) -> Instrument:
    made: Instrument = InstrumentFactory(listed=True)
    return made


def shown(client: Client, piece: Instrument, language: str = "") -> str:
    """The state on its page, with single spaces."""
    page = client.get(f"{language}{piece.get_absolute_url()}").text
    state = page.partition('<p class="offer-state">')[2].partition("</p>")[0]
    return " ".join(state.split())


def test_the_listing_says_until_when_and_whose_clock_it_is(client: Client, piece: Instrument) -> None:
    held(piece, contact__name="Ada Vane")
    said = shown(client, piece)
    assert "On hold until" in said
    assert ">Fri 12 Jun 2026, 8:00 am (Eastern Daylight Time)</time>" in said
    assert 'datetime="2026-06-12T08:00:00-04:00"' in said
    assert "Ada Vane" not in client.get(piece.get_absolute_url()).text


def test_it_says_so_in_german_by_the_same_clock(client: Client, piece: Instrument) -> None:
    held(piece)
    said = shown(client, piece, "/de")
    assert "Reserviert bis" in said
    assert ">Fr. 12. Juni 2026, 08:00 Uhr (Nordamerikanische Ostküsten-Sommerzeit)</time>" in said


def test_without_a_hold_or_in_a_sale_there_is_no_timer(client: Client, piece: Instrument) -> None:
    assert "until" not in shown(client, piece)
    sale = opened(instrument=piece)
    assert shown(client, piece) == '<span class="state state-on-hold">On hold</span>'
    assert sale.instrument == piece


def test_the_policy_of_the_hold_says_whether_it_is_told(client: Client, piece: Instrument) -> None:
    HousePolicy.objects.create(starts=NOON.date(), timer_public=False, at=NOON)
    hold = held(piece)
    assert shown(client, piece) == '<span class="state state-on-hold">On hold</span>'
    HousePolicy.objects.create(starts=NOON.date(), timer_public=True, at=NOON)
    assert held_until(piece, at=NOON) is None, "the hold keeps the policy it was made under"
    release_hold(hold, by=None, at=NOON)
    held(piece)
    assert held_until(piece, at=NOON) == NOON + 48 * HOUR


def test_the_page_turns_at_the_instant_with_nobody_there(
    client: Client, piece: Instrument, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kept page ends with the hold, and the next in the queue has it from there; no worker runs."""
    held(piece)
    held(piece)
    assert "Fri 12 Jun 2026, 8:00 am" in shown(client, piece)
    for passed, words in [
        (48 * HOUR - TICK, "Fri 12 Jun 2026, 8:00 am"),
        (48 * HOUR, "Sun 14 Jun 2026, 8:00 am"),
        (96 * HOUR - TICK, "Sun 14 Jun 2026, 8:00 am"),
        (96 * HOUR, "Available"),
    ]:
        clock.at = NOON + passed
        monkeypatch.setattr("shop.kept.pages.time.time", clock.at.timestamp)
        assert words in shown(client, piece)
    assert set(Hold.objects.values_list("state", flat=True)) == {"active", "queued"}, "the books stand still"


def test_an_extension_shows_at_once(client: Client, piece: Instrument) -> None:
    hold = held(piece)
    assert "Fri 12 Jun 2026, 8:00 am" in shown(client, piece)
    extend_hold(hold, hours=24, by=None, at=NOON)
    assert "Sat 13 Jun 2026, 8:00 am" in shown(client, piece)


@pytest.mark.parametrize(
    ("zone", "start", "said", "german"),
    [
        # Clocks of New York went back on 1 November 2026 and go forward on 14 March 2027.
        ("America/New_York", "2026-10-31T19:00", "Mon 2 Nov 2026, 2:00 pm (Eastern Standard Time)", "14:00"),
        ("America/New_York", "2027-03-13T20:00", "Mon 15 Mar 2027, 4:00 pm (Eastern Daylight Time)", "16:00"),
        # Those of Berlin go back on 25 October 2026 and forward on 28 March 2027.
        ("Europe/Berlin", "2026-10-24T15:00", "Mon 26 Oct 2026, 4:00 pm (Central European Standard", "16:00"),
        ("Europe/Berlin", "2027-03-27T16:00", "Mon 29 Mar 2027, 6:00 pm (Central European Summer", "18:00"),
        # The hour that comes twice is told apart.
        ("America/New_York", "2026-10-30T05:30", "Sun 1 Nov 2026, 1:30 am (Eastern Daylight Time)", "01:30"),
        ("America/New_York", "2026-10-30T06:30", "Sun 1 Nov 2026, 1:30 am (Eastern Standard Time)", "01:30"),
    ],
)
def test_a_hold_over_a_change_of_the_clocks_ends_at_the_instant_promised(
    client: Client,
    helper: User,
    piece: Instrument,
    clock: Clock,
    monkeypatch: pytest.MonkeyPatch,
    zone: str,
    start: str,
    said: str,
    german: str,
) -> None:
    ShopProfile.objects.update(time_zone=zone)
    clock.at = datetime.fromisoformat(start).replace(tzinfo=UTC)
    monkeypatch.setattr("shop.kept.pages.time.time", clock.at.timestamp)
    hold = place_hold(piece, InquiryFactory(instrument=piece), by=None, at=clock.at)
    assert hold.until == clock.at + 48 * HOUR
    assert said in shown(client, piece)
    assert f"{german} Uhr" in shown(client, piece, "/de")
    assert f"until {said}" in letter(hold, HoldNotice.What.PLACED, ShopProfile.objects.get())
    client.force_login(helper, backend=BACKEND)
    assert said.partition(" (")[0] in client.get(reverse("hold-page", args=[hold.pk])).text


def test_whoever_asks_reads_no_name(client: Client, piece: Instrument) -> None:
    held(piece, contact__name="Ada Vane")
    assert "Ada Vane" not in client.get(reverse("ask", args=[piece.stock_id])).text
    assert timezone.now() == NOON
