"""The drawn photographs: every kind, variant and view is a picture, and it shows the right number of strings."""

from io import BytesIO

import pytest
from PIL import Image

from demo_fixtures.draw import Plate, UnknownView, plate_from, render, views_of
from demo_fixtures.draw.layout import fret_y, layout_of, strings, tuner_posts
from demo_fixtures.draw.plate import MANDOLIN_BODIES, VARIANTS
from demo_fixtures.draw.scenes import scene_for

# Numbers of strings of the ordinary forms of these instruments (common practice, no source).
STRINGS = {
    ("banjo", "five-string"): 5, ("banjo", "tenor"): 4, ("banjo", "plectrum"): 4, ("banjo", "banjolele"): 4,
    ("flat-top", "six-string"): 6, ("flat-top", "twelve-string"): 12, ("flat-top", "tenor"): 4,
    ("archtop", "f-hole"): 6, ("archtop", "f-hole-tenor"): 4, ("archtop", "round-hole"): 6,
    ("mandolin", "mandolin"): 8, ("mandolin", "mandola"): 8, ("mandolin", "mandocello"): 8,
    ("ukulele", "soprano"): 4, ("ukulele", "concert"): 4, ("ukulele", "tenor"): 4, ("ukulele", "baritone"): 4,
    ("ukulele", "taropatch"): 8,
}  # fmt: skip


def _plates() -> list[Plate]:
    plain = [
        plate_from({"kind": kind, "variant": variant}) for kind in VARIANTS for variant in VARIANTS[kind]
    ]
    bodies = [plate_from({"kind": "mandolin", "body": body}) for body in MANDOLIN_BODIES]
    dressed = [
        plate_from({"kind": "banjo", "resonator": True, "inlay": "diamond", "metal": "gold", "wear": 1.0}),
        plate_from({"kind": "flat-top", "sunburst": True, "inlay": "none", "peghead": "lyre", "wear": 0.0}),
    ]
    return plain + bodies + dressed


def _name(plate: Plate) -> str:
    return f"{plate.kind}-{plate.variant}-{plate.body or plate.metal}"


@pytest.mark.parametrize("plate", _plates(), ids=_name)
def test_every_view_is_a_jpeg_of_catalogue_size(plate: Plate) -> None:
    for view in views_of(plate):
        with Image.open(BytesIO(render(plate, view))) as picture:
            picture.load()
            assert (picture.format, picture.mode) == ("JPEG", "RGB"), view
            assert sorted(picture.size) == [780, 1040], view
            assert not picture.getexif(), view


@pytest.mark.parametrize(("kind", "variant"), sorted(STRINGS))
def test_the_right_number_of_strings_is_drawn(kind: str, variant: str) -> None:
    plate = plate_from({"kind": kind, "variant": variant})
    drawn = "".join(scene_for(plate, "front").sheet.parts).count('class="string"')
    assert (len(strings(plate)), drawn) == (STRINGS[kind, variant], STRINGS[kind, variant])


@pytest.mark.parametrize("plate", _plates(), ids=_name)
def test_every_string_has_a_post_or_the_fifth_peg(plate: Plate) -> None:
    pegs = 1 if plate.variant == "five-string" else 0
    assert len(tuner_posts(plate)) + pegs == len(strings(plate))


def test_every_variant_has_its_number_of_strings_named() -> None:
    assert set(STRINGS) == {(kind, variant) for kind in VARIANTS for variant in VARIANTS[kind]}


def test_the_twelfth_fret_halves_the_string() -> None:
    """Equal temperament: twelve frets are an octave, and the octave halves the length."""
    assert fret_y(632, 12) == pytest.approx(316)
    assert fret_y(632, 24) == pytest.approx(474)


@pytest.mark.parametrize("plate", _plates(), ids=_name)
def test_the_bridge_stands_on_the_body(plate: Plate) -> None:
    lay = layout_of(plate)
    assert lay.body_top + lay.shape.length * 0.4 < lay.scale < lay.body_top + lay.shape.length * 0.85


def test_the_same_piece_gives_the_same_picture_and_another_seed_another() -> None:
    one = render(plate_from({"seed": 1}), "front")
    assert one == render(plate_from({"seed": 1}), "front")
    assert one != render(plate_from({"seed": 2}), "front")


def test_views_of_one_piece_differ() -> None:
    plate = plate_from({"kind": "banjo"})
    assert len({render(plate, view) for view in views_of(plate)}) == len(views_of(plate))


def test_a_pot_is_only_seen_on_a_banjo() -> None:
    with pytest.raises(UnknownView, match="no view 'pot' of a ukulele"):
        render(plate_from({"kind": "ukulele"}), "pot")


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"kind": "zither"}, "kind is 'zither'"),
        ({"kind": "banjo", "variant": "soprano"}, "variant is 'soprano'"),
        ({"kind": "ukulele", "body": "bowl"}, "body is 'bowl'"),
        ({"wear": 1.5}, "wear runs from 0 to 1"),
        ({"strings": 7}, "a plate has no strings"),
    ],
)
def test_a_plate_that_cannot_be_is_refused(wrong: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        plate_from(wrong)
