"""What dates a maker's work, at the desk: tables of numbers from CSV, and dated features."""

import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.dating.actions import load_table
from catalog.dating.tables import MOST_BYTES, read_table
from catalog.models import DatingEvidence, Feature, Maker, NumberRange, NumberTable
from shop.models import Entry, User
from tests.factories import NOON, InstrumentFactory, MakerFactory, ModelFactory

pytestmark = pytest.mark.django_db

SOURCE = "The Corvane Ledgers, second edition, 1988"
TABLE = "prefix,first,last,made,page\n,1,4000,1919 to 1922,12\n,4001,8200,1923,12\nC,1,900,c. 1924,13\n"


@pytest.fixture
def maker(db: None) -> Maker:
    return MakerFactory(name="Corvane & Sons")


def tables_page(maker: Maker) -> str:
    return reverse("number-tables", args=[maker.pk])


def load(client: Client, maker: Maker, **sent: Any) -> HttpResponse:
    typed = {"entry": str(uuid.uuid4()), "what": "serial", "source": SOURCE, **sent}
    answer = client.post(reverse("number-tables-load", args=[maker.pk]), typed)
    assert isinstance(answer, HttpResponse)
    return answer


def file(content: bytes, name: str = "table.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, "text/csv")


def page_of(answer: HttpResponse) -> str:
    return answer.content.decode()


def test_a_helper_reads_and_the_owner_loads(client: Client, helpers_desk: Client, maker: Maker) -> None:
    pages = [tables_page(maker), reverse("dated-features", args=[maker.pk])]
    for path in pages:
        assert client.get(path)["Location"].startswith(reverse("log-in"))
        assert helpers_desk.get(path).status_code == 200
    assert load(helpers_desk, maker, text=TABLE).status_code == 403
    assert "Load a table" not in page_of(helpers_desk.get(tables_page(maker)))
    assert not NumberTable.objects.exists()


def test_a_pasted_table_is_loaded_whole(owners_desk: Client, owner: User, maker: Maker) -> None:
    answer = load(owners_desk, maker, text=TABLE)
    table = NumberTable.objects.get()
    assert answer["Location"] == reverse("number-table", args=[maker.pk, table.pk])
    assert (table.maker, table.what, table.source, table.loaded_by) == (maker, "serial", SOURCE, owner)
    rows = table.ranges.order_by("prefix", "first").values_list(
        "prefix", "first", "last", "when", "when_edtf", "when_earliest", "when_latest", "page"
    )
    assert list(rows) == [
        ("", 1, 4000, "1919 to 1922", "1919/1922", 1919, 1922, "12"),
        ("", 4001, 8200, "1923", "1923", 1923, 1923, "12"),
        ("C", 1, 900, "c. 1924", "1924~", 1924, 1924, "13"),
    ]
    entry = Entry.objects.get(about="maker", about_id=maker.pk)
    assert (entry.verb, entry.by, entry.new) == ("number table loaded", owner, f"{SOURCE}: 3 lines")
    shown = page_of(owners_desk.get(answer["Location"]))
    assert "c. 1924" in shown
    assert "4001" in shown


def test_a_row_loaded_is_what_a_row_saved_would_be(maker: Maker) -> None:
    table = load_table(maker, "serial", SOURCE, read_table(TABLE), by=None, at=NOON)
    for row in table.ranges.all():
        loaded = (row.when, row.when_edtf, row.when_earliest, row.when_latest)
        row.save()
        assert (row.when, row.when_edtf, row.when_earliest, row.when_latest) == loaded


@pytest.mark.parametrize(
    "content", [TABLE.encode(), TABLE.encode("utf-8-sig"), TABLE.replace(",", ";").encode()]
)
def test_a_file_is_loaded(owners_desk: Client, maker: Maker, content: bytes) -> None:
    assert load(owners_desk, maker, file=file(content)).status_code == 302
    assert NumberRange.objects.count() == 3


def test_a_newer_load_of_a_source_retires_the_older_one_and_no_other(
    owners_desk: Client, maker: Maker
) -> None:
    for sent in (
        {"text": TABLE},
        {"text": TABLE, "source": "Another book"},
        {"text": TABLE, "what": "batch"},
        {"text": TABLE.replace("8200", "8300"), "source": SOURCE.upper()},
    ):
        assert load(owners_desk, maker, **sent).status_code == 302
    first, *others = NumberTable.objects.order_by("pk")
    assert first.retired_at is not None
    assert [table.retired_at for table in others] == [None, None, None]
    assert first.ranges.count() == 3
    assert "in place of an older load" in Entry.objects.filter(about="maker").latest("pk").new


def test_the_same_press_twice_loads_once(owners_desk: Client, maker: Maker) -> None:
    entry = str(uuid.uuid4())
    for _ in range(2):
        assert load(owners_desk, maker, text=TABLE, entry=entry).status_code == 302
    assert NumberTable.objects.count() == 1


@pytest.mark.parametrize("by_file", [True, False])
def test_a_wrong_line_loads_nothing_and_everything_sent_comes_back(
    owners_desk: Client, maker: Maker, by_file: bool
) -> None:
    wrong = TABLE + ",9000,x,1925,14\n,9000,9001,soon,14\n"
    sent: dict[str, Any] = {"file": file(wrong.encode())} if by_file else {"text": wrong}
    answer = load(owners_desk, maker, **sent)
    assert answer.status_code == 200
    assert not NumberTable.objects.exists()
    page = page_of(answer)
    assert "Line 5: “x” is no number." in page
    assert "Line 6: " in page
    assert answer.context["form"]["text"].value() == wrong  # type: ignore[attr-defined]
    assert f'value="{SOURCE}"' in page


def test_a_file_in_another_encoding_comes_back_to_be_looked_at(owners_desk: Client, maker: Maker) -> None:
    answer = load(owners_desk, maker, file=file(TABLE.replace("C,1", "É,1").encode("cp1252")))
    page = page_of(answer)
    assert "Line 4 is not in UTF-8" in page
    assert "\nÉ,1,900" in page
    assert not NumberTable.objects.exists()


def test_a_picture_or_a_file_too_large_is_no_table(owners_desk: Client, maker: Maker) -> None:
    assert "The file holds no text." in page_of(load(owners_desk, maker, file=file(b"PK\x00\x03")))
    assert "larger than a megabyte" in page_of(load(owners_desk, maker, file=file(b"1" * (MOST_BYTES + 1))))
    assert not NumberTable.objects.exists()


def test_nothing_chosen_and_nothing_pasted_is_said(owners_desk: Client, maker: Maker) -> None:
    assert "Choose a file, or paste the table." in page_of(load(owners_desk, maker))
    assert "The file holds no text." in page_of(load(owners_desk, maker, file=file(b"")))


def test_a_table_is_retired_once_and_by_the_owner(
    helpers_desk: Client, owners_desk: Client, maker: Maker
) -> None:
    table = load_table(maker, "serial", SOURCE, read_table(TABLE), by=None, at=NOON)
    path = reverse("number-table-retire", args=[maker.pk, table.pk])
    assert helpers_desk.post(path).status_code == 403
    for _ in range(2):
        assert owners_desk.post(path)["Location"] == tables_page(maker)
    table.refresh_from_db()
    assert table.retired_at is not None
    assert Entry.objects.filter(verb="number table retired").count() == 1
    other = reverse("number-table", args=[MakerFactory().pk, table.pk])
    assert owners_desk.get(other).status_code == 404


def test_the_lists_cost_the_same_for_one_and_for_many(owners_desk: Client, maker: Maker) -> None:
    def cost(path: str) -> int:
        with CaptureQueriesContext(connection) as seen:
            assert owners_desk.get(path).status_code == 200
        return len(seen)

    table = load_table(maker, "serial", SOURCE, read_table(TABLE), by=None, at=NOON)
    feature(maker)
    paths = [
        tables_page(maker),
        reverse("number-table", args=[maker.pk, table.pk]),
        reverse("dated-features", args=[maker.pk]),
    ]
    before = [cost(path) for path in paths]
    for n in range(5):
        load_table(maker, "serial", f"Book {n}", read_table(TABLE), by=None, at=NOON)
        feature(MakerFactory())
        feature(maker, name=f"Lug {n}")
    more = [{"table": table, "first": n, "last": n, "when": "1930"} for n in range(9000, 9300)]
    NumberRange.objects.bulk_create([NumberRange(**row) for row in more])
    assert [cost(path) for path in paths] == before


def feature(maker: Maker, **fields: Any) -> Feature:
    return Feature.objects.create(
        maker=maker,
        **{"name": "Two-way lugs", "when": "1924 to 1931", "source": SOURCE, "page": "40", **fields},
    )


def features_shown(client: Client, maker: Maker) -> dict[str, Any]:
    rows = client.get(reverse("dated-features", args=[maker.pk])).context["rows"]
    fields = [field for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() for field in fields}
    return {name: value for name, value in shown.items() if value is not None and value is not False}


def test_a_feature_is_added_changed_and_removed_with_history(
    helpers_desk: Client, helper: User, maker: Maker
) -> None:
    path = reverse("dated-features", args=[maker.pk])
    model = ModelFactory(maker=maker)
    typed = {
        "features-0-name": "Two-way lugs",
        "features-0-when": "1924 to 1931",
        "features-0-source": SOURCE,
        "features-0-page": "40",
    }
    assert helpers_desk.post(path, features_shown(helpers_desk, maker) | typed).status_code == 302
    row = Feature.objects.get()
    assert (row.name, row.model, row.when_earliest, row.when_latest) == ("Two-way lugs", None, 1924, 1931)
    change = {"features-0-when": "not before 1924", "features-0-model": model.pk}
    helpers_desk.post(path, features_shown(helpers_desk, maker) | change)
    row.refresh_from_db()
    assert (row.model, row.when_earliest, row.when_latest) == (model, 1924, None)
    helpers_desk.post(path, features_shown(helpers_desk, maker) | {"features-0-DELETE": "on"})
    assert not Feature.objects.exists()
    told = Entry.objects.filter(about="maker", field="dated features").order_by("pk")
    assert [entry.new for entry in told] == [
        f"Two-way lugs · 1924 to 1931 · {SOURCE} · 40",
        f"Two-way lugs · {model} · not before 1924 · {SOURCE} · 40",
        "",
    ]
    assert {entry.by for entry in told} == {helper}


@pytest.mark.parametrize(
    ("missing", "sentence"),
    [
        ({"features-0-source": ""}, "This field is required."),
        ({"features-0-when": ""}, "This field is required."),
        ({"features-0-when": "long ago"}, "long ago"),
        ({"features-0-source": "s" * 151}, "A source has 150 characters at most."),
    ],
)
def test_a_feature_without_years_or_source_is_refused_and_stays_typed(
    helpers_desk: Client, maker: Maker, missing: dict[str, str], sentence: str
) -> None:
    typed = {"features-0-name": "Two-way lugs", "features-0-when": "1924", "features-0-source": SOURCE}
    answer = helpers_desk.post(
        reverse("dated-features", args=[maker.pk]), features_shown(helpers_desk, maker) | typed | missing
    )
    assert 'value="Two-way lugs"' in page_of(answer)  # type: ignore[arg-type]
    assert sentence in page_of(answer)  # type: ignore[arg-type]
    assert not Feature.objects.exists()


def test_a_model_of_another_maker_is_out_of_reach(helpers_desk: Client, maker: Maker) -> None:
    stranger = ModelFactory()
    typed = {
        "features-0-name": "Lugs",
        "features-0-when": "1924",
        "features-0-source": SOURCE,
        "features-0-model": stranger.pk,
    }
    path = reverse("dated-features", args=[maker.pk])
    assert helpers_desk.post(path, features_shown(helpers_desk, maker) | typed).status_code == 200
    assert not Feature.objects.exists()


def test_a_feature_that_dates_an_instrument_stays(helpers_desk: Client, maker: Maker) -> None:
    row = feature(maker)
    instrument = InstrumentFactory(model=ModelFactory(maker=maker))
    DatingEvidence.objects.create(
        instrument=instrument, kind="feature", says="Two-way lugs", when="1924 to 1931", feature=row
    )
    path = reverse("dated-features", args=[maker.pk])
    answer = helpers_desk.post(path, features_shown(helpers_desk, maker) | {"features-0-DELETE": "on"})
    assert f"It dates stock number {instrument.stock_id}." in page_of(answer)  # type: ignore[arg-type]
    assert Feature.objects.exists()
