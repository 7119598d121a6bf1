"""Where the tools of tests/quality/package.json lie, once `.ci/quality` has fetched them."""

import json
import shutil
from pathlib import Path

from tests.support.programs import missing

ROOT = Path(__file__).resolve().parent.parent.parent
MODULES = ROOT / ".data" / "quality" / "node_modules"
WANTED = json.loads((Path(__file__).parent / "package.json").read_text(encoding="utf-8"))["dependencies"]


def tool(package: str, file: str) -> Path:
    """A file of one of the packages, in the version that package.json names; without it the test is skipped."""
    about = MODULES / package / "package.json"
    version = json.loads(about.read_text(encoding="utf-8"))["version"] if about.exists() else None
    if version != WANTED[package]:
        missing(f"{package} {WANTED[package]} (run .ci/quality)")
    return MODULES / package / file


def program(name: str) -> str:
    """The path of a program of the system; without it the test is skipped."""
    found = shutil.which(name)
    if found is None:
        missing(name)
    return found
