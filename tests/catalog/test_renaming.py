"""Makers and models get other names, and keep their old addresses."""

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.instruments.addresses import all_model_places, maker_places, model_places
from catalog.instruments.renaming_actions import rename_maker, rename_model
from catalog.instruments.slugs import slug_of, slugs_for
from catalog.models import FormerName, Maker
from shop.models import Entry, User
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory, MakerFactory, ModelFactory

NAMES = st.sampled_from(["Brantley", "Brantley!", "brantley 2", "Ödön Vash", "Odon Vash", "森", "!", ""])


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Aldous & Daughters", "aldous-daughters"),
        ("Ödön Vash", "odon-vash"),
        ("森", "maker"),
        ("–", "maker"),
        ("ﬃ" * 120, "ffi" * 33 + "f"),
    ],
)
def test_a_name_stands_in_addresses_in_plain_letters(name: str, slug: str) -> None:
    assert slug_of(name, "maker") == slug


def test_of_two_that_coincide_the_one_added_first_has_the_plain_address() -> None:
    names = [(3, "Vash & Sons"), (5, "Vash Sons"), (9, "Vash, Sons"), (11, "Vash Sons 2")]
    assert slugs_for(names, {}, "maker") == {
        3: "vash-sons",
        5: "vash-sons-2",
        9: "vash-sons-3",
        11: "vash-sons-2-2",
    }


def test_the_former_address_of_one_is_never_anothers() -> None:
    assert slugs_for([(1, "Corvane"), (2, "Vash")], {1: ["vash"]}, "maker") == {1: "corvane", 2: "vash-2"}
    assert slugs_for([(1, "Vash")], {1: ["vash"]}, "maker") == {1: "vash"}, "its own is no bar"


@given(st.lists(NAMES, max_size=12))
def test_no_two_things_stand_at_one_address_and_a_new_one_moves_none(names: list[str]) -> None:
    given_now = slugs_for(list(enumerate(names)), {}, "maker")
    assert len(set(given_now.values())) == len(names)
    assert all(given_now.values())
    earlier = slugs_for(list(enumerate(names))[:-1], {}, "maker")
    assert earlier.items() <= given_now.items()


@pytest.fixture
def maker(db: None) -> Maker:
    return MakerFactory(name="Halloran")


def test_a_renamed_maker_keeps_its_old_address(maker: Maker, helper: User) -> None:
    assert rename_maker(maker, "Halloran & Pike", was="Halloran", by=helper, at=NOON)
    maker.refresh_from_db()
    places = maker_places()
    assert (maker.name, places.slugs[maker.pk]) == ("Halloran & Pike", "halloran-pike")
    assert places.key_at("halloran") == places.key_at("halloran-pike") == maker.pk
    [told] = Entry.objects.filter(about="maker", about_id=maker.pk)
    assert (told.field, told.old, told.new, told.by) == ("name", "Halloran", "Halloran & Pike", helper)


def test_named_back_it_has_its_first_address_again(maker: Maker) -> None:
    rename_maker(maker, "Pike", was="Halloran", by=None, at=NOON)
    rename_maker(maker, "Halloran", was="Pike", by=None, at=NOON)
    assert maker_places().slugs[maker.pk] == "halloran"
    assert list(FormerName.objects.values_list("slug", flat=True)) == ["pike"]


def test_other_capitals_make_another_name_at_the_same_address(maker: Maker) -> None:
    assert rename_maker(maker, "HALLORAN", was="Halloran", by=None, at=NOON)
    assert not rename_maker(maker, "HALLORAN", was="HALLORAN", by=None, at=NOON)
    assert not FormerName.objects.exists()


@pytest.mark.parametrize(
    ("name", "was", "code"),
    [
        ("vash & sons", "Halloran", "name-taken"),
        ("Vash Sons", "Halloran", "address-taken"),
        ("Vash Brothers", "Halloran", "address-taken"),
        ("Halloran & Pike", "Somebody", "changed-meanwhile"),
    ],
)
def test_a_name_that_would_be_mistaken_is_refused(maker: Maker, name: str, was: str, code: str) -> None:
    other = MakerFactory(name="Vash Brothers")
    rename_maker(other, "Vash & Sons", was="Vash Brothers", by=None, at=NOON)
    with pytest.raises(Refused) as refused:
        rename_maker(maker, name, was=was, by=None, at=NOON)
    assert refused.value.code == code
    maker.refresh_from_db()
    assert maker.name == "Halloran"
    assert not maker.former_names.exists()


def test_a_model_stands_in_the_way_of_its_own_makers_models_alone(maker: Maker) -> None:
    model = ModelFactory(maker=maker, name="Nightjar")
    ModelFactory(maker=maker, name="Clarion")
    ModelFactory(maker=MakerFactory(), name="Meadow")
    with pytest.raises(Refused, match="“Clarion” is in the book already"):
        rename_model(model, "clarion", was="Nightjar", by=None, at=NOON)
    assert rename_model(model, "Meadow", was="Nightjar", by=None, at=NOON)
    places = model_places(maker.pk)
    assert (places.slugs[model.pk], places.key_at("nightjar")) == ("meadow", model.pk)
    assert all_model_places()[maker.pk] == places


def test_the_desk_renames_a_maker_and_a_model(helpers_desk: Client, client: Client, helper: User) -> None:
    model = InstrumentFactory(model__maker__name="Halloran", model__name="Nightjar").model
    for name, thing, back in (
        ("maker-rename", model.maker, "maker"),
        ("model-rename", model, "model-sheet"),
    ):
        path, page = reverse(name, args=[thing.pk]), reverse(back, args=[thing.pk])
        assert client.get(path)["Location"].startswith(reverse("log-in"))
        assert f'href="{path}"' in helpers_desk.get(page).text
        assert "1 record will carry the new name." in helpers_desk.get(path).text
        typed = {"name": f"  New   {thing.name} ", "was": thing.name}
        assert helpers_desk.post(path, typed)["Location"] == page
        assert f"{thing.name} is called New {thing.name} now." in helpers_desk.get(page).text
        thing.refresh_from_db()
    assert (model.maker.name, model.name) == ("New Halloran", "New Nightjar")
    assert Entry.objects.filter(field="name", by=helper).count() == 2


@pytest.mark.parametrize(
    ("typed", "says"),
    [("Clarion", "is in the book already"), ("", "This field is required."), ("N" * 121, "at most 120")],
)
def test_a_refused_name_stays_typed(helpers_desk: Client, maker: Maker, typed: str, says: str) -> None:
    ModelFactory(maker=maker, name="Clarion")
    model = ModelFactory(maker=maker, name="Nightjar")
    path = reverse("model-rename", args=[model.pk])
    page = helpers_desk.post(path, {"name": typed, "was": "Nightjar"}).text
    assert says in page
    assert not typed or f'value="{typed}"' in page
    model.refresh_from_db()
    assert model.name == "Nightjar"
