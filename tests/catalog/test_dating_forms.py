"""The field for a date: it says how a date is understood, and refuses what is none."""

import pytest
from django import forms
from django.test import Client
from django.urls import reverse

from catalog.dating.forms import DealerDate, Echo
from catalog.models import Instrument
from tests.factories import InstrumentFactory


class Dated(forms.Form):
    when = DealerDate(required=False)


def echo_of(client: Client, typed: str) -> str:
    answer = client.get(reverse("date-understood"), {"of": "when", "when": typed})
    assert answer.status_code == 200
    return answer.content.decode().strip()


def test_a_readable_date_is_cleaned_to_the_typed_words() -> None:
    form = Dated({"when": "  late 1920s "})
    assert form.is_valid()
    assert form.cleaned_data == {"when": "late 1920s"}


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("some time ago", "unreadable"),
        ("1928 to 1925", "reversed"),
        ("31 February 1927", "no-such-day"),
        ("1900s", "ambiguous"),
    ],
)
def test_an_unreadable_one_is_refused_with_the_readers_own_code(typed: str, code: str) -> None:
    form = Dated({"when": typed})
    assert not form.is_valid()
    [error] = form.errors.as_data()["when"]
    assert error.code == code


def test_an_empty_date_is_left_alone_where_none_is_needed() -> None:
    assert Dated({"when": " "}).is_valid()
    needed = forms.Form({"when": ""})
    needed.fields["when"] = DealerDate()
    assert not needed.is_valid()


def test_the_field_asks_for_its_echo_and_shows_that_of_the_date_it_has() -> None:
    page = str(Dated(initial={"when": "c. 1931"})["when"])
    assert f'hx-get="{reverse("date-understood")}?of=when"' in page
    assert Dated(initial={"when": "c. 1931"})["when"].echo.words.startswith("about 1931")  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("typed", "words", "edtf", "trouble"),
    [
        ("1925 to 1928", "from 1925 to 1928", "1925/1928", ""),
        ("", "", "", ""),
        ("  ", "", "", ""),
        ("19", "", "", "Not a date yet."),
        ("1928 to 1925", "", "", "“1928/1925” ends before it begins. Write the earlier date first."),
    ],
)
def test_an_echo_says_the_reading_or_what_is_wrong(typed: str, words: str, edtf: str, trouble: str) -> None:
    echo = Echo("when", typed)
    assert (echo.name, echo.words, echo.edtf, echo.trouble) == ("when_shown", words, edtf, trouble)


@pytest.mark.django_db
def test_the_desk_says_a_date_back_while_it_is_typed(helpers_desk: Client, client: Client) -> None:
    assert echo_of(helpers_desk, "1925 to 1928") == (
        'Understood: from 1925 to 1928.<input type="hidden" name="when_shown" value="1925/1928">'
    )
    assert echo_of(helpers_desk, "") == ""
    assert echo_of(helpers_desk, "<b>") == "Not a date yet."
    assert helpers_desk.get(reverse("date-understood")).status_code == 200
    assert helpers_desk.post(reverse("date-understood")).status_code == 405
    assert client.get(reverse("date-understood"))["Location"].startswith(reverse("log-in"))


@pytest.mark.django_db
def test_a_reading_not_yet_seen_comes_back_before_it_is_kept(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(made="1931", made_edtf="1931")
    address = reverse("record-section", args=[instrument.stock_id, "identity"])
    typed = {"revision": instrument.revision, "maker": "Corvane", "model": "Lark", "made": "late 1920s"}
    page = helpers_desk.post(address, typed).content.decode()
    assert "Understood: from 1927 to 1929" in page
    assert "If that is what you mean, save again." in page
    assert '<input type="hidden" name="made_shown" value="1927/1929">' in page
    assert Instrument.objects.get().made == "1931"
    helpers_desk.post(address, {**typed, "made_shown": "1927/1929"})
    assert Instrument.objects.get().made_edtf == "1927/1929"


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["1927", "may 1927", "12 May 1927", "c. 1931"])
def test_a_reading_that_adds_nothing_or_stands_already_is_kept_at_once(
    typed: str, helpers_desk: Client
) -> None:
    instrument = InstrumentFactory(made="c. 1931")
    address = reverse("record-section", args=[instrument.stock_id, "identity"])
    answer = helpers_desk.post(
        address, {"revision": instrument.revision, "maker": "Corvane", "model": "Lark", "made": typed}
    )
    assert answer.status_code == 302
    assert Instrument.objects.get().made == typed
