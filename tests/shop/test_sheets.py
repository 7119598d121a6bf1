"""Style sheets as they are served say what their sources say."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.core.files.storage import FileSystemStorage
from playwright.sync_api import BrowserContext

from shop.sheets import ShopFiles, gathered, shortened

NewContext = Callable[..., BrowserContext]

CSS = Path(__file__).resolve().parent.parent.parent / "static" / "css"
SHEETS = sorted(CSS.glob("*.css"))
RULES = """sheet => {
    const parsed = new CSSStyleSheet();
    parsed.replaceSync(sheet);
    // A value with var() in it is kept as it was typed.
    return [...parsed.cssRules].map(rule => rule.cssText.replace(/, +/g, ","));
}"""


def read(name: str) -> str:
    return (CSS / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("written", "served"),
    [
        ("a { color: red; }\n", "a{color:red}"),
        ("/* note */ a,\n  b > c { margin: 0 auto; top: 1px }", "a,b>c{margin:0 auto;top:1px}"),
        ('q::before { content: "/* ;  } */"; }', 'q::before{content:"/* ;  } */"}'),
        ("a :hover { width: calc(1px + 2px); }", "a :hover{width:calc(1px + 2px)}"),
        ("@media (min-width: 4rem) {\n  a { top: 0; }\n}", "@media (min-width:4rem){a{top:0}}"),
    ],
)
def test_a_sheet_is_shortened(written: str, served: str) -> None:
    assert shortened(written) == served


def test_an_import_gives_way_to_what_it_names() -> None:
    sheets = {"b.css": '@import url("c.css");\nb {}', "c.css": "c {}"}
    assert gathered('@import url("b.css");\na {}', sheets.__getitem__) == "c {}\nb {}\na {}"


def test_the_browser_reads_the_same_rules_from_both(new_context: NewContext) -> None:
    page = new_context().new_page()
    for sheet in SHEETS:
        written = gathered(read(sheet.name), read)
        rules = page.evaluate(RULES, written)
        assert rules == page.evaluate(RULES, shortened(written)), sheet.name
        assert rules, sheet.name


def test_collected_sheets_are_gathered_hashed_and_packed(tmp_path: Path) -> None:
    files = ShopFiles(location=tmp_path, base_url="/static/")
    paths: dict[str, Any] = {}
    for finder in finders.get_finders():
        for path, storage in finder.list([]):
            paths[path] = (storage, path)
            with storage.open(path) as file:
                FileSystemStorage(tmp_path).save(path, file)
    assert [error for _, _, error in files.post_process(paths) if isinstance(error, Exception)] == []
    served = tmp_path / files.stored_name("css/street.css")
    text = served.read_text(encoding="utf-8")
    assert "@import" not in text
    assert "/*" not in text
    assert ".site-header{" in text
    assert re.search(r"url\(\"\.\./fonts/shop-serif\.[0-9a-f]{12}\.woff2\"\)", text)
    assert served.with_name(served.name + ".br").exists()
    assert served.with_name(served.name + ".gz").exists()


def test_a_public_page_loads_no_sheet_twice() -> None:
    street = set(re.findall(r'url\("([\w-]+\.css)"\)', read("street.css")))
    listing = set(re.findall(r'url\("([\w-]+\.css)"\)', read("listing-page.css")))
    assert not street & listing
