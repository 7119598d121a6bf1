"""A parcel from its photographs to its delivery or its loss, at the desk and by its deeds."""

import hashlib
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pillow_heif
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from catalog.models import Instrument
from catalog.pictures.prints import print_path
from inquiries.answering.private import private_of
from inquiries.models import Delivery, Hold, Loss, ParcelPicture, Sale, Shipment
from inquiries.review.due import holds
from inquiries.sales.actions import deliver, end_without_sale, ship
from inquiries.sales.queries import facts_of, with_rows
from inquiries.sales.rules import Stage, stage
from inquiries.shipping.parcel_actions import record_loss
from inquiries.threads.actions import answer
from shop.history.models import Entry
from shop.models import HousePolicy, ShopProfile, User
from shop.refusal import Refused
from tests.factories import NOON
from tests.inquiries.conftest import BACKEND, Clock
from tests.inquiries.steps import fresh, held, opened, received, settle

DAY = timedelta(days=1)


@pytest.fixture
def sale(profile: ShopProfile, clock: Clock) -> Sale:
    return settle(opened(contact__name="Cole Withers"), at=NOON)


def url(name: str, sale: Sale, *more: object) -> str:
    return reverse(name, args=[sale.number, *more])


def words(answer: Any) -> str:
    return " ".join(answer.text.split())


def body(answer: Any) -> bytes:
    """All of a file that was answered with; read to its end, it is closed."""
    return b"".join(answer.streaming_content)


def page(browser: Client, sale: Sale) -> str:
    return words(browser.get(url("sale", sale)))


def picture(
    name: str, kind: str = "JPEG", *, size: tuple[int, int] = (640, 480), shade: int = 90
) -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", size, (shade, 120, 60)).save(out, kind)
    return SimpleUploadedFile(name, out.getvalue())


def heic(name: str) -> SimpleUploadedFile:
    out = BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (400, 300), "#864")).save(out, quality=60)
    return SimpleUploadedFile(name, out.getvalue())


def send(browser: Client, sale: Sale, *files: SimpleUploadedFile, caption: str = "The open carton") -> Any:
    given = {"files": list(files), "caption": caption}
    return browser.post(url("sale-photographs", sale), given)


def typed(**given: str) -> dict[str, str]:
    return {"carrier": "Mule Train", "tracking": "MT 0147", "declared_value": "12,500", **given}


def policy(**terms: Any) -> HousePolicy:
    return HousePolicy.objects.create(
        starts=datetime(2026, 1, 1, tzinfo=UTC).date(), at=NOON - 100 * DAY, **terms
    )


# Photographs before sealing


def test_several_photographs_are_kept_as_they_came_and_shown_small(
    helpers: Client, sale: Sale, helper: User
) -> None:
    files = [picture("a.jpg"), picture("b.png", "PNG"), heic("c.heic")]
    originals = {hashlib.sha256(file.read()).hexdigest() for file in files}
    for file in files:
        file.seek(0)
    assert send(helpers, sale, *files).status_code == 302
    rows = list(ParcelPicture.objects.all())
    assert {row.sha256 for row in rows} == originals
    assert [(row.suffix, row.caption, row.by) for row in rows] == [
        (suffix, "The open carton", helper) for suffix in ("jpg", "png", "heic")
    ]
    for row in rows:
        kept = Path(settings.ORIGINALS_DIR) / row.sha256[:2] / f"{row.sha256}.{row.suffix}"
        assert hashlib.sha256(kept.read_bytes()).hexdigest() == row.sha256
    assert page(helpers, sale).count('alt="The open carton"') == 3


def test_what_is_no_photograph_is_refused_by_name_and_the_others_are_kept(
    helpers: Client, sale: Sale
) -> None:
    damaged = picture("damaged.png", "PNG", size=(900, 700)).read()
    torn = damaged[:60] + bytes(len(damaged) - 120) + damaged[-60:]
    answer = send(
        helpers,
        sale,
        picture("good.jpg"),
        SimpleUploadedFile("letter.txt", b"Dear shop"),
        SimpleUploadedFile("damaged.png", torn),
        picture("tiny.jpg", size=(50, 50)),
        picture("again.jpg"),
        caption="The neck, wrapped",
    )
    text = words(answer)
    assert "letter.txt is not a photograph that can be read." in text
    assert "damaged.png is damaged and cannot be shown." in text
    assert "tiny.jpg is only 50 × 50 pixels" in text
    assert "again.jpg is here already, as good.jpg." in text
    assert "1 photograph is kept." in text
    assert 'value="The neck, wrapped"' in text, "what was typed is not lost"
    assert [row.original_name for row in ParcelPicture.objects.all()] == ["good.jpg"]


def test_nothing_chosen_is_said(helpers: Client, sale: Sale) -> None:
    assert "No file came with that." in words(send(helpers, sale))


def test_a_photograph_is_for_the_desk_alone(helpers: Client, client: Client, sale: Sale) -> None:
    send(helpers, sale, picture("a.jpg"))
    row = ParcelPicture.objects.get()
    for address in (
        url("sale-photograph", sale, row.pk, 400),
        url("sale-photograph", sale, row.pk, 1600),
        url("sale-photograph-original", sale, row.pk),
    ):
        assert client.get(address).status_code in {302, 403}
        answer = helpers.get(address)
        assert answer.status_code == 200
        assert answer["Cache-Control"] == "private, no-store"
        assert body(answer)
    assert helpers.get(url("sale-photograph", sale, row.pk, 401)).status_code == 404
    other = opened()
    assert helpers.get(url("sale-photograph", other, row.pk, 400)).status_code == 404


def test_small_pictures_carry_nothing_but_pixels_and_are_made_again(helpers: Client, sale: Sale) -> None:
    exif = Image.Exif()
    exif[0x010F] = "A telephone"
    out = BytesIO()
    Image.new("RGB", (2000, 1500), "#755").save(out, "JPEG", exif=exif)
    send(helpers, sale, SimpleUploadedFile("a.jpg", out.getvalue()))
    row = ParcelPicture.objects.get()
    place = print_path(row.sha256, 400, "webp")
    with Image.open(place) as small:
        assert small.size == (400, 300)
        assert not small.getexif()
    place.unlink()
    assert body(helpers.get(url("sale-photograph", sale, row.pk, 400)))
    assert place.exists()


def test_once_it_has_gone_no_photograph_was_taken_before(helpers: Client, sale: Sale) -> None:
    helpers.post(url("sale-parcel", sale), typed(unpictured_reason="The camera was at the mender"))
    answer = send(helpers, sale, picture("late.jpg"))
    assert "cannot keep photographs taken before sealing now" in words(helpers.get(answer["Location"]))
    assert not ParcelPicture.objects.exists()


def test_without_a_photograph_a_parcel_goes_with_a_written_reason_only(helpers: Client, sale: Sale) -> None:
    text = words(helpers.post(url("sale-parcel", sale), typed()))
    assert "No photograph was taken before sealing." in text
    assert 'value="MT 0147"' in text
    assert not Shipment.objects.exists()
    send(helpers, sale, picture("a.jpg"))
    assert "Why no photograph was taken" not in page(helpers, sale)
    assert helpers.post(url("sale-parcel", sale), typed()).status_code == 302


# The declared value


def test_above_the_insured_value_a_parcel_goes_with_a_written_reason_only(
    helpers: Client, clock: Clock
) -> None:
    policy(declared_limit=Decimal(10000))
    sale = settle(opened(), at=NOON)
    send(helpers, sale, picture("a.jpg"))
    assert "At most $10,000 by your own policy." in page(helpers, sale)
    text = words(helpers.post(url("sale-parcel", sale), typed()))
    assert "The declared value, $12,500, is above the $10,000 that your own policy insures" in text
    assert not Shipment.objects.exists()
    helpers.post(url("sale-parcel", sale), typed(limit_reason="The insurer agreed by letter"))
    text = page(helpers, sale)
    assert "$12,500, above the $10,000 of your own policy" in text
    assert "The insurer agreed by letter" in text


def test_a_later_limit_leaves_a_sale_alone(helpers: Client, clock: Clock) -> None:
    policy(declared_limit=Decimal(20000))
    sale = settle(opened(), at=NOON)
    HousePolicy.objects.create(starts=NOON.date(), declared_limit=Decimal(10), at=NOON)
    send(helpers, sale, picture("a.jpg"))
    assert helpers.post(url("sale-parcel", sale), typed()).status_code == 302
    assert "$12,500, within the $20,000 of your own policy" in page(helpers, sale)


# The address


def test_the_address_is_proposed_looked_at_and_kept_as_it_stood(helpers: Client, clock: Clock) -> None:
    sale = settle(
        opened(
            contact__name="Ada Finch", contact__address="Am Deich 3\n1234 Kleinmoor", contact__country="DE"
        ),
        at=NOON,
    )
    text = page(helpers, sale)
    assert "Ada Finch Am Deich 3 1234 Kleinmoor GERMANY</textarea>" in text
    assert "No postal code of Germany is written; one looks like 26133." in text
    send(helpers, sale, picture("a.jpg"))
    right = "Ada Finch\r\nAm Deich 3\r\n01234 Kleinmoor\r\nGERMANY"
    shown = words(helpers.post(url("sale-parcel-figures", sale), typed(address=right, country="DE")))
    assert "street “Am Deich 3”; town “Kleinmoor”; postal code 01234. Nothing is missing" in shown
    helpers.post(url("sale-parcel", sale), typed(address=right, country="DE"))
    kept = Shipment.objects.get()
    assert (kept.address, kept.country) == ("Ada Finch\nAm Deich 3\n01234 Kleinmoor\nGERMANY", "DE")
    sale.contact.address = "Elsewhere 9"
    sale.contact.save()
    assert "01234 Kleinmoor" in page(helpers, sale)


def test_an_address_that_lacks_something_stops_nothing(helpers: Client, sale: Sale) -> None:
    send(helpers, sale, picture("a.jpg"))
    answer = helpers.post(url("sale-parcel", sale), typed(address="Ada Finch", country="ZW"))
    assert answer.status_code == 302
    assert Shipment.objects.get().address == "Ada Finch"


# Collected in person


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"collected_by": ""}, "Write who came for it, and how you knew the person."),
        ({"identity": ""}, "Write who came for it, and how you knew the person."),
        ({"identity": "Passport C01X00T47"}, "Write the kind of paper, never its number"),
    ],
)
def test_of_a_piece_that_is_fetched_it_is_written_who_came(
    given: dict[str, str], says: str, helpers: Client, sale: Sale
) -> None:
    came = {"collected": "on", "collected_by": "Ivy Withers", "identity": "Passport"} | given
    text = words(helpers.post(url("sale-parcel", sale), came))
    assert says in text
    assert not Shipment.objects.exists()


def test_who_came_how_known_and_by_whom_handed_over_are_kept(
    helpers: Client, sale: Sale, helper: User, owner: User
) -> None:
    came = {"collected": "on", "collected_by": "Ivy Withers", "identity": "Driving licence"}
    helpers.post(url("sale-parcel", sale), {**came, "handed_by": str(owner.pk)})
    kept = Shipment.objects.get()
    assert (kept.collected_by, kept.identity, kept.handed_by, kept.by) == (
        "Ivy Withers",
        "Driving licence",
        owner,
        helper,
    )
    text = page(helpers, sale)
    assert "Ivy Withers" in text
    assert "Driving licence" in text
    assert not ParcelPicture.objects.exists(), "no photograph is asked for"


@pytest.mark.parametrize(
    ("shipment", "code"),
    [
        (Shipment(carrier="Mule Train"), "no-photograph"),
        (Shipment(), "who-came"),
        (Shipment(collected_by="Ivy", identity="ID 123456"), "number-of-a-paper"),
    ],
)
def test_the_deed_itself_asks_for_what_is_to_be_written(shipment: Shipment, code: str, sale: Sale) -> None:
    with pytest.raises(Refused) as refusal:
        ship(sale, shipment, by=None, at=NOON)
    assert refusal.value.code == code
    assert not Shipment.objects.exists()


# The delivery


def on_its_way(country: str = "US", at: datetime = NOON, **contact: str) -> Sale:
    sale = settle(opened(at=at, contact__country=country, **contact), at=at)
    parcel = Shipment(carrier="Mule Train", country=country, unpictured_reason="No camera here")
    ship(sale, parcel, by=None, at=at)
    return fresh(sale)


def test_the_delivery_is_typed_on_the_clock_of_the_buyer(helpers: Client, clock: Clock) -> None:
    sale = on_its_way("JP")
    clock.at = NOON + DAY
    text = page(helpers, sale)
    assert '<option value="Asia/Tokyo" selected>' in text
    given = {"delivered_at": "2026-06-11T01:30", "zone": "Asia/Tokyo", "signed_by": "Mr Finch", "note": ""}
    assert helpers.post(url("sale-delivered", sale), given).status_code == 302
    kept = Delivery.objects.get()
    assert (kept.at, kept.zone, kept.signed_by) == (
        datetime(2026, 6, 10, 16, 30, tzinfo=UTC),
        "Asia/Tokyo",
        "Mr Finch",
    )
    text = page(helpers, sale)
    assert "Thu 11 Jun 2026, 1:30 am in Tokyo, Asia" in text
    assert "Wed 10 Jun 2026, 12:30 pm in the shop" in text
    # 48 hours on, in both zones.
    assert "Sat 13 Jun 2026, 1:30 am in Tokyo, Asia" in text
    assert "Fri 12 Jun 2026, 12:30 pm in the shop" in text


def test_a_time_that_came_twice_is_asked_about(helpers: Client, helper: User, clock: Clock) -> None:
    before = datetime(2026, 10, 30, 12, tzinfo=UTC)
    sale = on_its_way(at=before)
    clock.at = before + 3 * DAY
    helpers.force_login(helper, backend=BACKEND)
    given = {"delivered_at": "2026-11-01T01:30", "zone": "America/New_York", "note": "Left with Ivy"}
    text = words(helpers.post(url("sale-delivered", sale), given))
    assert (
        "The clocks of New York, America showed 1:30 am twice that day. Choose which of the two it was."
        in text
    )
    assert "The first, before the clocks were put back (EDT, UTC−04:00)" in text
    assert "The second, after they were put back (EST, UTC−05:00)" in text
    assert 'value="Left with Ivy"' in text
    assert not Delivery.objects.exists()
    helpers.post(url("sale-delivered", sale), {**given, "which": "1"})
    assert Delivery.objects.get().at == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    # Hours of the period are hours that go by.
    assert facts_of(fresh(sale)).approval_until == datetime(2026, 11, 3, 6, 30, tzinfo=UTC)


def test_a_time_that_no_clock_showed_is_refused(helpers: Client, clock: Clock) -> None:
    before = datetime(2026, 3, 6, 12, tzinfo=UTC)
    sale = on_its_way(at=before)
    clock.at = before + 3 * DAY
    given = {"delivered_at": "2026-03-08T02:30", "zone": "America/New_York", "note": ""}
    text = words(helpers.post(url("sale-delivered", sale), given))
    assert "No clock of New York, America showed 2:30 am that day: they were put forward." in text
    assert "Write it as 1:30 am or 3:30 am, as it was." in text
    assert not Delivery.objects.exists()


def test_a_zone_that_does_not_exist_is_refused(helpers: Client, clock: Clock) -> None:
    sale = on_its_way()
    clock.at = NOON + DAY
    given = {"delivered_at": "2026-06-11T01:30", "zone": "Mars/Olympus", "note": ""}
    assert "Select a valid choice" in words(helpers.post(url("sale-delivered", sale), given))


# Damage


def test_damage_is_to_be_reported_until_a_day_of_the_buyer(helpers: Client, clock: Clock) -> None:
    policy(damage_days=5)
    sale = on_its_way("JP")
    clock.at = NOON + DAY
    deliver(sale, delivered_at=NOON + DAY, zone="Asia/Tokyo", note="", by=None, at=NOON + DAY)
    text = page(helpers, sale)
    assert "by the end of 16 June 2026 where the buyer is" in text
    assert "The carton and all that was in it are kept as they are" in text
    assert "Common practice; the terms of the carrier or the insurer count." in text
    today = words(helpers.get(reverse("today")))
    assert "Damage can be reported" in today
    clock.at = datetime(2026, 6, 16, 15, tzinfo=UTC)  # midnight in Tokyo
    assert "that day has gone by" in page(helpers, sale)
    assert "Damage can be reported" not in words(helpers.get(reverse("today")))


def test_without_a_policy_no_day_is_made_up(helpers: Client, clock: Clock) -> None:
    sale = on_its_way()
    clock.at = NOON + DAY
    deliver(sale, delivered_at=NOON + DAY, note="", by=None, at=NOON + DAY)
    assert "no day is written down" in page(helpers, sale)
    assert Delivery.objects.get().zone == "America/New_York", "the zone of the shop, where none is given"


# A parcel that is lost


def lost(sale: Sale, at: datetime = NOON + 9 * DAY) -> Sale:
    record_loss(sale, what="Not found after a search", claim="C 118", by=None, at=at)
    return fresh(sale)


def stage_of(sale: Sale, at: datetime) -> Stage:
    return stage(facts_of(with_rows(Sale.objects.all()).get(pk=sale.pk)), at=at)


def test_a_parcel_is_recorded_as_lost_once_and_the_page_says_what_comes_next(
    helpers: Client, clock: Clock
) -> None:
    sale = on_its_way()
    clock.at = NOON + 9 * DAY
    given = {"what": "Not found after a search", "claim": "C 118"}
    assert helpers.post(url("sale-lost", sale), given).status_code == 302
    helpers.post(url("sale-lost", sale), given)
    assert Loss.objects.get().claim == "C 118"
    assert fresh(sale).stage == "LOST"
    assert Entry.objects.filter(verb="parcel lost").count() == 1
    text = page(helpers, sale)
    assert "Not found after a search Claim C 118." in text
    assert "The owner ends the sale below and pays the buyer back" in text
    assert "Lost on the way" in text


def test_only_what_is_on_its_way_is_lost(sale: Sale) -> None:
    with pytest.raises(Refused) as refusal:
        lost(sale)
    assert refusal.value.code == "step-not-allowed"


def test_after_a_loss_the_sale_ends_with_the_money_back_and_the_piece_is_not_for_sale(
    owner: User, clock: Clock
) -> None:
    sale = on_its_way()
    behind = held(sale.instrument, at=NOON)
    sale = lost(sale)
    money = received("12500.00")
    end_without_sale(sale, reason="Lost by the carrier", money=money, by=owner, at=NOON + 10 * DAY)
    sale = fresh(sale)
    assert (sale.outcome, stage_of(sale, NOON + 10 * DAY)) == ("fell-through", Stage.FELL_THROUGH)
    assert sum(row.amount for row in sale.rows.all()) == 0
    assert Instrument.objects.get().state == Instrument.State.WITHDRAWN
    hold = Hold.objects.get(pk=behind.pk)
    assert (hold.state, hold.reason) == (Hold.State.RELEASED, "Lost on the way to another buyer")
    (due,) = holds(NOON + 10 * DAY)
    assert due.what.startswith("Hold has ended, to be told: ")
    assert due.what.endswith(f", for {hold.contact}")
    assert due.note == "Lost on the way to another buyer. They have not been told yet."
    answer(hold.inquiry, "It was lost on its way to somebody else.", by=owner, at=NOON + 11 * DAY)
    assert holds(NOON + 11 * DAY) == []


def test_a_lost_parcel_that_turns_up_is_delivered_after_all(profile: ShopProfile, clock: Clock) -> None:
    sale = lost(on_its_way())
    at = NOON + 12 * DAY
    deliver(sale, delivered_at=at, note="", by=None, at=at)
    assert stage_of(sale, at) == Stage.APPROVAL


def test_the_page_of_a_sale_asks_the_database_as_often_with_more_photographs(
    helpers: Client, sale: Sale
) -> None:
    counts = []
    for number in (1, 4):
        send(
            helpers, sale, *(picture(f"{number}-{one}.jpg", shade=10 * number + one) for one in range(number))
        )
        with CaptureQueriesContext(connection) as asked:
            page(helpers, sale)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_why_a_parcel_went_all_the_same_stays_in_the_house(sale: Sale) -> None:
    reasons = {"limit_reason": "Known to the insurer", "unpictured_reason": "The camera was at the mender"}
    ship(sale, Shipment(carrier="Mule Train", **reasons), by=None, at=NOON)
    kept = private_of(sale.inquiry, [sale.instrument])
    assert set(reasons.values()) <= set(kept.notes)
