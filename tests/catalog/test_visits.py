"""Views are counted, nothing of the visitor is kept, and nobody is counted twice."""

import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.apps import apps
from django.conf import LazySettings
from django.http import HttpResponse
from django.test import Client

from catalog.models import DayOfViews, Instrument
from catalog.visits import actions, middleware
from catalog.visits.actions import KEPT, count_up, forget_old, set_views
from catalog.visits.daybook import SALT, DayBook, days_in, folder_of, lines_of, shared_salt
from catalog.visits.rules import counted, looked
from shop.jobs.rounds import ROUNDS
from shop.models import ShopProfile
from shop.staff.models import User
from tests.factories import HelperFactory, InstrumentFactory, OwnerFactory, ShopFactory
from tests.support.shops import ROOT

ZONE = ZoneInfo("America/New_York")
DAY = date(2026, 6, 10)
NIGHT = datetime(2026, 6, 11, 3, 30, tzinfo=UTC)  # half past eleven in the evening of the 10th, in the shop
PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 Marked/4417 Safari/604.1"
ADDRESS = "203.0.113.77"


class Visitor:
    """Looks at pages at an instant that the test sets."""

    def __init__(self, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.place = place
        self.at = NIGHT
        monkeypatch.setattr(middleware.timezone, "now", lambda: self.at)
        self.client = Client()

    def look(self, piece: Instrument, *, address: str = ADDRESS, **headers: str) -> HttpResponse:
        """One GET of the listing."""
        sent = {"HTTP_USER_AGENT": PHONE, "REMOTE_ADDR": address} | headers
        answer: HttpResponse = self.client.get(piece.get_absolute_url(), **sent)  # type: ignore[arg-type]
        return answer

    def noted(self) -> Counter[tuple[int, str]]:
        """What the book of the day says."""
        return counted(line for _, folder in days_in(self.place) for line in lines_of(folder))


@pytest.fixture
def visitor(db: None, settings: LazySettings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Visitor:
    ShopFactory(time_zone=ZONE.key)
    settings.VISITS_DIR = tmp_path / "visits"
    return Visitor(settings.VISITS_DIR, monkeypatch)


@pytest.fixture
def piece(db: None) -> Instrument:
    made: Instrument = InstrumentFactory(listed=True)
    return made


def rows() -> dict[tuple[date, str], int]:
    return {(row.day, row.host): row.views for row in DayOfViews.objects.all()}


def test_a_look_is_noted_on_the_shops_day_and_counted_up(visitor: Visitor, piece: Instrument) -> None:
    assert visitor.look(piece, HTTP_REFERER="https://searchsite.example/find?q=x").status_code == 200
    assert visitor.look(piece, address="203.0.113.78").status_code == 200
    count_up(zone=ZONE, at=visitor.at)
    assert rows() == {(DAY, "searchsite.example"): 1, (DAY, ""): 1}


def test_a_sold_piece_is_counted_and_an_old_address_once_where_it_leads(visitor: Visitor) -> None:
    sold = InstrumentFactory(sold=True)
    answer = visitor.client.get(
        f"/instruments/{sold.stock_id}-old-name/", follow=True, HTTP_USER_AGENT=PHONE, REMOTE_ADDR=ADDRESS
    )
    assert answer.status_code == 200
    assert visitor.noted() == Counter({(sold.stock_id, ""): 1})


def test_one_visitor_counts_once_a_day_at_a_piece_and_again_the_next_day(
    visitor: Visitor, piece: Instrument
) -> None:
    other = InstrumentFactory(listed=True)
    for _ in range(3):
        visitor.look(piece)
    visitor.look(other)
    assert visitor.noted() == Counter({(piece.stock_id, ""): 1, (other.stock_id, ""): 1})
    visitor.at += timedelta(hours=1)
    visitor.look(piece)
    assert visitor.noted()[piece.stock_id, ""] == 2


@pytest.mark.parametrize(
    "headers",
    [
        {"HTTP_DNT": "1"},
        {"HTTP_SEC_GPC": "1"},
        {"HTTP_SEC_PURPOSE": "prefetch;prerender"},
        {"HTTP_USER_AGENT": "curl/8.5.0"},
        {"HTTP_USER_AGENT": ""},
    ],
)
def test_who_does_not_want_it_or_does_not_look_leaves_nothing_at_all(
    visitor: Visitor, piece: Instrument, headers: dict[str, str]
) -> None:
    assert visitor.look(piece, **headers).status_code == 200
    assert not visitor.place.exists()


def test_other_pages_missing_pages_and_mere_heads_are_not_noted(visitor: Visitor, piece: Instrument) -> None:
    sent = {"HTTP_USER_AGENT": PHONE}
    path = piece.get_absolute_url()
    for other in ("/", "/instruments/", "/about/", f"{path}report.pdf", "/instruments/999999-none/"):
        visitor.client.get(other, **sent)  # type: ignore[arg-type]
    visitor.client.head(path, **sent)  # type: ignore[arg-type]
    assert not visitor.place.exists()


def test_a_member_of_staff_is_not_counted(visitor: Visitor, piece: Instrument) -> None:
    visitor.client.force_login(HelperFactory(), backend="django.contrib.auth.backends.ModelBackend")
    assert visitor.look(piece).status_code == 200
    assert not visitor.place.exists()


def test_counting_sets_no_cookie(visitor: Visitor, piece: Instrument) -> None:
    assert not {"visitor", "visits"} & set(visitor.look(piece).cookies)
    before = set(visitor.client.cookies)
    visitor.look(piece)
    assert "sessionid" not in before


def test_it_stands_outside_of_all_that_answers(settings: LazySettings) -> None:
    assert settings.MIDDLEWARE[0] == "catalog.visits.middleware.CountViews"


def test_not_modified_is_a_look_too(visitor: Visitor, piece: Instrument, rf: Any) -> None:
    counting = middleware.CountViews(lambda request: HttpResponse(status=304))
    counting(rf.get(piece.get_absolute_url(), HTTP_USER_AGENT=PHONE))
    counting(rf.get(f"/de{piece.get_absolute_url()}", HTTP_USER_AGENT=f"{PHONE} x"))
    assert visitor.noted() == Counter({(piece.stock_id, ""): 2})


def test_a_full_disk_never_holds_up_a_page(
    visitor: Visitor, piece: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*given: object, **more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(DayBook, "note", full)
    assert visitor.look(piece).status_code == 200


def test_counting_again_changes_nothing_and_a_row_never_falls(visitor: Visitor, piece: Instrument) -> None:
    visitor.look(piece)
    for _ in range(3):
        count_up(zone=ZONE, at=visitor.at)
    assert rows() == {(DAY, ""): 1}
    set_views(DAY, Counter({(piece.stock_id, ""): 5, (987654, ""): 3}))
    count_up(zone=ZONE, at=visitor.at)
    assert rows() == {(DAY, ""): 5}


def test_killed_between_counting_and_throwing_away_nobody_counts_twice(
    visitor: Visitor, piece: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    visitor.look(piece)

    def killed(folder: Path) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as cut:
        cut.setattr(actions, "throw_away", killed)
        with pytest.raises(KeyboardInterrupt):
            count_up(zone=ZONE, at=visitor.at + timedelta(hours=2))
    assert folder_of(visitor.place, DAY).is_dir()
    count_up(zone=ZONE, at=visitor.at + timedelta(hours=2))
    assert not folder_of(visitor.place, DAY).exists()
    assert rows() == {(DAY, ""): 1}


@pytest.mark.parametrize(("later", "kept"), [(29, True), (34, True), (36, False)])
def test_the_book_is_closed_soon_after_midnight(
    visitor: Visitor, piece: Instrument, later: int, kept: bool
) -> None:
    visitor.look(piece)
    count_up(zone=ZONE, at=NIGHT + timedelta(minutes=later))
    assert folder_of(visitor.place, DAY).exists() is kept
    assert rows() == {(DAY, ""): 1}


def test_the_first_look_of_a_new_day_throws_the_old_salt_away(visitor: Visitor, piece: Instrument) -> None:
    visitor.look(piece)
    assert (folder_of(visitor.place, DAY) / SALT).is_file()
    visitor.at += timedelta(hours=1)
    visitor.look(piece)
    assert not (folder_of(visitor.place, DAY) / SALT).exists()


def everything_kept(place: Path) -> Iterator[str]:
    """The words of every file below `place`, and of every row of the database."""
    for file in place.rglob("*"):
        yield str(file)
        if file.is_file():
            yield file.read_bytes().decode("utf-8", "replace")
    for model in apps.get_models():
        for row in model._default_manager.values_list():
            yield " ".join(map(str, row))


def test_nothing_of_a_visitor_is_anywhere(visitor: Visitor, piece: Instrument) -> None:
    visitor.look(piece, HTTP_REFERER="https://forum.example/verandah/4417?by=ada")
    count_up(zone=ZONE, at=visitor.at)
    while_it_runs = "\n".join(everything_kept(visitor.place))
    for word in (ADDRESS, "Marked/4417", "verandah", "by=ada"):
        assert word not in while_it_runs
    salt = (folder_of(visitor.place, DAY) / SALT).read_bytes()
    mark = lines_of(folder_of(visitor.place, DAY))[0].split()[2]
    count_up(zone=ZONE, at=visitor.at + timedelta(hours=2))
    afterwards = "\n".join(everything_kept(visitor.place))
    assert [*visitor.place.iterdir()] == []
    for word in (ADDRESS, "Marked/4417", "verandah", "by=ada", mark, salt.hex()):
        assert word not in afterwards
    assert "forum.example" in afterwards, "the search finds what is there"


def test_a_mark_cannot_be_made_again_without_the_salt(tmp_path: Path) -> None:
    for name in ("first", "second"):
        DayBook(tmp_path / name).note(DAY, 147, f"{ADDRESS} {PHONE}", host=str)
    book = DayBook(tmp_path / "first")
    book.note(DAY, 148, f"{ADDRESS} {PHONE}", host=str)
    book.note(DAY + timedelta(days=1), 147, f"{ADDRESS} {PHONE}", host=str)
    marks = [line.split()[2] for file in tmp_path.rglob("views") for line in file.read_text().splitlines()]
    assert len(set(marks)) == 4, "another salt, another piece, another day: another mark"


def test_a_folder_taken_away_is_begun_anew(tmp_path: Path) -> None:
    book = DayBook(tmp_path)
    book.note(DAY, 147, "x", host=str)
    for file in folder_of(tmp_path, DAY).iterdir():
        file.unlink()
    folder_of(tmp_path, DAY).rmdir()
    book.note(DAY, 147, "y", host=str)
    book.note(DAY, 147, "z", host=str)
    assert len(lines_of(folder_of(tmp_path, DAY))) == 1


def test_the_book_is_for_the_shop_alone(tmp_path: Path) -> None:
    DayBook(tmp_path).note(DAY, 147, "x", host=str)
    folder = folder_of(tmp_path, DAY)
    assert [file.stat().st_mode & 0o077 for file in (folder, *folder.iterdir())] == [0, 0, 0]


NOTING = """
import sys
from datetime import date
from pathlib import Path
from catalog.visits.daybook import DayBook
book = DayBook(Path(sys.argv[1]))
for number in range(int(sys.argv[2])):
    book.note(date(2026, 6, 10), 147, f"visitor {number}", host=lambda: "forum.example")
    print(number, flush=True)
"""


def noting(place: Path, many: int) -> "subprocess.Popen[str]":
    command = [sys.executable, "-c", NOTING, str(place), str(many)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def test_two_processes_share_the_salt_and_a_killed_one_loses_nothing_it_noted(tmp_path: Path) -> None:
    cut_off, other = noting(tmp_path, 10**9), noting(tmp_path, 200)
    assert cut_off.stdout is not None
    seen = [cut_off.stdout.readline() for _ in range(300)]
    cut_off.kill()
    cut_off.communicate()
    other.communicate(timeout=60)
    assert other.returncode == 0
    lines = lines_of(folder_of(tmp_path, DAY))
    numbers = counted(lines)
    assert set(numbers) == {(147, "forum.example")}
    salt = shared_salt(folder_of(tmp_path, DAY))
    assert len(seen) == 300
    assert len(salt) == 32
    assert numbers.total() >= 300, "all that was said to be noted"
    assert len(lines) >= numbers.total() + 1, "the same visitors were noted by both, and count once"


def test_old_counts_are_removed(piece: Instrument) -> None:
    at = NIGHT
    for days in (0, KEPT.days, KEPT.days + 1):
        DayOfViews.objects.create(instrument=piece, day=DAY - timedelta(days=days), views=1)
    assert forget_old(zone=ZONE, at=at) == 1
    assert DayOfViews.objects.count() == 2


def test_the_worker_makes_both_rounds(visitor: Visitor, piece: Instrument) -> None:
    visitor.look(piece)
    made = {work.__qualname__: work for work in ROUNDS}
    made["count_views"](visitor.at)
    assert rows() == {(DAY, ""): 1}
    made["forget_views"](visitor.at + KEPT + timedelta(days=2))
    assert rows() == {}


@pytest.fixture
def counts(piece: Instrument) -> Callable[..., None]:
    def add(days_ago: int, host: str, views: int, of: Instrument = piece) -> None:
        today = datetime.now(ShopProfile.objects.get().zone).date()
        day = today - timedelta(days=days_ago)
        DayOfViews.objects.create(instrument=of, day=day, host=host, views=views)

    return add


@pytest.fixture
def at_the_desk(db: None, client: Client) -> Client:
    ShopFactory(time_zone=ZONE.key)
    client.force_login(helper(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def helper() -> User:
    made: User = HelperFactory()
    return made


def test_the_record_says_how_often_and_from_where(
    at_the_desk: Client, piece: Instrument, counts: Callable[..., None]
) -> None:
    counts(0, "", 20)
    counts(3, "searchsite.example", 12)
    counts(29, "forum.example", 2)
    counts(30, "forum.example", 50)
    page = at_the_desk.get(f"/desk/stock/{piece.stock_id}/").content.decode()
    assert "Looked at 34 times in 30 days: 12 from searchsite.example, 2 from forum.example." in page


def test_a_draft_says_nothing_of_looks(at_the_desk: Client) -> None:
    page = at_the_desk.get(f"/desk/stock/{InstrumentFactory().stock_id}/").content.decode()
    assert "How often it was looked at" not in page


def test_the_month_has_the_pieces_by_their_views_and_the_hosts(
    at_the_desk: Client, piece: Instrument, counts: Callable[..., None]
) -> None:
    other = InstrumentFactory(listed=True)
    counts(0, "searchsite.example", 3)
    counts(0, "", 9, of=other)
    page = at_the_desk.get("/desk/visits/").content.decode()
    assert "12 views of 2 pieces" in page
    assert page.index(f">{other.stock_id}<") < page.index(f">{piece.stock_id}<")
    assert "searchsite.example" in page
    assert "Of 3 views the browser told the site" in page


@pytest.mark.parametrize(
    ("month", "status"), [("2020-01", 200), ("2020-13", 404), ("2999-01", 404), ("x", 404)]
)
def test_a_month_is_one_that_has_begun(at_the_desk: Client, month: str, status: int) -> None:
    assert at_the_desk.get(f"/desk/visits/{month}/").status_code == status


def test_the_page_costs_the_same_whatever_was_looked_at(
    at_the_desk: Client, counts: Callable[..., None], django_assert_num_queries: Any
) -> None:
    def costs() -> int:
        with django_assert_num_queries(8, exact=False) as asked:
            assert at_the_desk.get("/desk/visits/").status_code == 200
        return len(asked)

    counts(0, "", 1)
    few = costs()
    for number in range(12):
        counts(0, f"host{number}.example", 2, of=InstrumentFactory(listed=True))
    assert costs() == few


def test_sums_of_nothing_are_nothing() -> None:
    assert looked([], DAY, DAY).total == 0


def test_the_public_is_told_what_is_counted(client: Client, db: None) -> None:
    ShopFactory()
    page = client.get("/about/").content.decode()
    assert "What we count" in page
    assert "sets no cookie to count" in page


def test_the_month_of_the_owner_leads_there(client: Client, db: None) -> None:
    ShopFactory()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    assert "What was looked at" in client.get("/desk/month/").content.decode()


def test_a_page_that_was_kept_ready_is_counted_again_for_another_visitor(
    visitor: Visitor, piece: Instrument
) -> None:
    first, second = visitor.look(piece), visitor.look(piece, address="203.0.113.78")
    assert first.content == second.content
    tag = second["ETag"]
    assert visitor.look(piece, address="203.0.113.79", HTTP_IF_NONE_MATCH=tag).status_code == 304
    assert visitor.noted() == Counter({(piece.stock_id, ""): 3})
