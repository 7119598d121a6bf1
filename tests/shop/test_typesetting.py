"""Typesetting: what goes in, what comes out, and what is kept of it."""

from pathlib import Path

import pytest
import typst
from PIL import Image

from shop.typesetting import fingerprint, page_count, pdf, write_new, write_once
from tests.support.papers import Paper

PLAIN = """
#set document(title: "A leaf")
#set text(lang: "en")
= #sys.inputs.data
#pagebreak()
The end
#context [#metadata(counter(page).final().first()) <pages>]
"""


@pytest.fixture
def leaf(tmp_path: Path) -> Path:
    place = tmp_path / "leaf.typ"
    place.write_text(PLAIN, encoding="utf-8")
    return place


def test_it_is_set_tagged_named_and_in_its_language(leaf: Path) -> None:
    paper = Paper(pdf(leaf, "Old words"))
    assert paper.text == "Old words The end"
    assert (paper.tagged, paper.title, paper.language) == (True, "A leaf", "en")


def test_the_count_of_pages_is_that_of_the_pdf(leaf: Path) -> None:
    assert page_count(leaf, "x") == Paper(pdf(leaf, "x")).pages == 2


def test_a_picture_lies_below_the_named_folder_and_nothing_else_is_read(leaf: Path, tmp_path: Path) -> None:
    folder = tmp_path / "prints"
    (folder / "ab").mkdir(parents=True)
    Image.new("RGB", (40, 30)).save(folder / "ab" / "one.jpg")
    Image.new("RGB", (40, 30)).save(tmp_path / "private.jpg")
    leaf.write_text(PLAIN + '#image("/ab/one.jpg", alt: "One")', encoding="utf-8")
    assert [tag.alt for tag in Paper(pdf(leaf, "x", pictures=folder)).tags if tag.name == "Figure"] == ["One"]
    leaf.write_text(PLAIN + '#image("/../private.jpg", alt: "One")', encoding="utf-8")
    with pytest.raises(typst.TypstError):
        pdf(leaf, "x", pictures=folder)


def test_a_picture_without_words_is_refused(leaf: Path, tmp_path: Path) -> None:
    Image.new("RGB", (40, 30)).save(tmp_path / "one.jpg")
    leaf.write_text(PLAIN + '#image("/one.jpg")', encoding="utf-8")
    with pytest.raises(typst.TypstError, match="alt text"):
        pdf(leaf, "x", pictures=tmp_path)


def test_other_words_or_another_template_have_another_fingerprint(leaf: Path) -> None:
    first = fingerprint(leaf, "x")
    assert first == fingerprint(leaf, "x")
    assert first != fingerprint(leaf, "y")
    leaf.write_text(PLAIN + "More", encoding="utf-8")
    assert first != fingerprint(leaf, "x")


def test_a_file_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_once(tmp_path / "in" / "paper.pdf", b"%PDF")
    assert (tmp_path / "in" / "paper.pdf").read_bytes() == b"%PDF"

    def broken(path: Path, target: Path) -> Path:
        raise OSError("no space")

    monkeypatch.setattr(Path, "replace", broken)
    with pytest.raises(OSError, match="no space"):
        write_once(tmp_path / "in" / "other.pdf", b"%PDF")
    assert [path.name for path in (tmp_path / "in").iterdir()] == ["paper.pdf"]


def test_what_was_kept_is_never_written_over(tmp_path: Path) -> None:
    kept = tmp_path / "in" / "paper.pdf"
    write_new(kept, b"%PDF first")
    write_new(kept, b"%PDF second")
    assert kept.read_bytes() == b"%PDF first"


def test_what_a_killed_process_left_beside_a_file_is_cleared_away(tmp_path: Path) -> None:
    kept, other = tmp_path / "paper.pdf", tmp_path / "other.pdf.a1.part"
    (tmp_path / "paper.pdf.x7.part").write_bytes(b"%PDF-half")
    other.write_bytes(b"%PDF-half")
    write_new(kept, b"%PDF whole")
    assert sorted(path.name for path in tmp_path.iterdir()) == [other.name, kept.name]
