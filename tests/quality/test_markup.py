"""Every page is well-formed by the Nu HTML checker, and so is every style sheet."""

import json
import re
import subprocess
from pathlib import Path
from typing import Any

from tests.quality.tools import ROOT, program, tool

# Properties that stand in a published specification and that the checker does not know yet.
NOT_KNOWN_YET = {
    "field-sizing",  # CSS Basic User Interface Module Level 4, section 4.3
    "vector-effect",  # SVG 2, section 8.13
}


def test_no_page_has_a_fault_that_the_html_checker_finds(pages: dict[str, bytes], tmp_path: Path) -> None:
    names = {}
    for number, (path, body) in enumerate(pages.items()):
        (tmp_path / f"{number:03}.html").write_bytes(body)
        names[f"{number:03}.html"] = path
    told = check("--skip-non-html", str(tmp_path))
    for message in told:
        message["url"] = names[Path(message["url"]).name]
    print("\n".join(sorted(sentence(message) for message in told if message["type"] != "error")))
    faults = [sentence(message) for message in told if message["type"] == "error"]
    assert not faults, "\n".join(faults)


def test_no_style_sheet_has_a_fault_that_the_checker_finds() -> None:
    told = check("--css", *map(str, sorted((ROOT / "static" / "css").glob("*.css"))))
    unknown = {f"CSS: “{name}”: Property “{name}” doesn't exist." for name in NOT_KNOWN_YET}
    faults = [
        sentence(message)
        for message in told
        if message["type"] == "error" and message["message"] not in unknown
    ]
    assert not faults, "\n".join(faults)


def check(*what: str) -> list[dict[str, Any]]:
    """What the checker says; it answers with a fault when it cannot read its own arguments."""
    jar = tool("vnu-jar", "build/dist/vnu.jar")
    command = [program("java"), "-jar", str(jar), "--format", "json", "--exit-zero-always", *what]
    ran = subprocess.run(command, capture_output=True, text=True, check=True)
    messages: list[dict[str, Any]] = json.loads(ran.stderr)["messages"]
    return messages


def sentence(message: dict[str, Any]) -> str:
    extract = re.sub(r"\s+", " ", message.get("extract", ""))[:160]
    return f"{message['url']} line {message.get('lastLine', '?')}: {message['message']} [{extract}]"
