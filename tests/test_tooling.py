"""The set-up itself: what is pinned, what README promises, what lies at the top of the tree."""

import importlib.metadata
import itertools
import json
import re
import subprocess
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

TOP = Path(__file__).resolve().parent.parent
ALLOWED_AT_THE_TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "manage.py",
    "pyproject.toml",
    "constraints.txt",
    ".gitignore",
    ".ci",
    "shop",
    "catalog",
    "inquiries",
    "templates",
    "static",
    "tests",
    "demo_fixtures",
}
START = "python3 -m venv .venv && .venv/bin/pip install -c constraints.txt -e . && .venv/bin/python manage.py demo"
TEST = ".venv/bin/pip install -c constraints.txt -e '.[test]' && .venv/bin/python -m pytest"


def constraint_lines() -> list[str]:
    return (TOP / "constraints.txt").read_text(encoding="utf-8").splitlines()


def pinned() -> dict[str, str]:
    """Version by canonical package name."""
    pairs = (line.split("==") for line in constraint_lines())
    return {canonicalize_name(name): version for name, version in pairs}


def declared() -> list[Requirement]:
    """What pyproject.toml asks for, to run and to test."""
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    return [Requirement(text) for text in asked]


def needed() -> set[str]:
    """Every package the declared ones bring along on this machine, by canonical name."""
    found: set[str] = set()
    waiting = [(requirement.name, extra) for requirement in declared() for extra in ["", *requirement.extras]]
    seen: set[tuple[str, str]] = set()
    while waiting:
        name, extra = waiting.pop()
        if (name, extra) in seen:
            continue
        seen.add((name, extra))
        found.add(canonicalize_name(name))
        for text in importlib.metadata.requires(name) or []:
            inner = Requirement(text)
            if inner.marker is None or inner.marker.evaluate({"extra": extra}):
                waiting += [(inner.name, wanted) for wanted in ["", *inner.extras]]
    return found


def tracked(*options: str) -> list[str]:
    # The clone may belong to another account than the one that runs the tests.
    command = ["git", "-c", f"safe.directory={TOP}", "ls-files", "-z", *options]
    listed = subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=True)
    return [name for name in listed.stdout.split("\0") if name]


def test_every_constraint_is_one_exact_version_and_no_address() -> None:
    pin = re.compile(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!]+")
    assert [line for line in constraint_lines() if not pin.fullmatch(line)] == []
    assert "://" not in (TOP / "constraints.txt").read_text(encoding="utf-8")


def test_no_package_is_pinned_twice() -> None:
    assert len(pinned()) == len(constraint_lines())


@pytest.mark.parametrize("requirement", declared(), ids=lambda requirement: requirement.name)
def test_declared_package_is_pinned_at_a_version_it_allows(requirement: Requirement) -> None:
    version = pinned().get(canonicalize_name(requirement.name))
    assert version is not None
    assert requirement.specifier.contains(version)


def test_everything_brought_along_is_pinned_and_nothing_else() -> None:
    assert set(pinned()) == needed()


def test_this_environment_has_the_pinned_versions() -> None:
    installed = {name: importlib.metadata.version(name) for name in pinned()}
    assert installed == pinned()


def test_every_tool_that_measures_is_one_exact_version_without_a_lock_file() -> None:
    tools = json.loads((TOP / "tests/quality/package.json").read_text(encoding="utf-8"))["dependencies"]
    assert [pin for pin in tools.values() if not re.fullmatch(r"\d+\.\d+\.\d+", pin)] == []
    assert [name for name in tracked() if name.endswith(("package-lock.json", "npm-shrinkwrap.json"))] == []


def test_every_test_runs_once_on_sqlite_and_what_reads_the_database_on_postgresql_too() -> None:
    check = (TOP / ".ci/check").read_text(encoding="utf-8")
    runs = re.findall(r'(postgres -- )?python -m pytest[^\n]* -m "?([a-z ()]+)', check)
    assert len(runs) == check.count("python -m pytest")
    for marks in itertools.product([False, True], repeat=3):
        named = dict(zip(["quality", "quiet", "apart"], marks, strict=True))
        taken = [bool(other) for other, rule in runs if eval(rule, {}, named)]  # noqa: S307 - our own file
        assert taken.count(False) == 1 or (named["quiet"] and not named["quality"]), named
        assert taken.count(True) == int(not named["quality"] and not named["apart"]), named


@pytest.mark.parametrize("command", [START, TEST])
def test_readme_gives_the_command_on_a_line_of_its_own(command: str) -> None:
    lines = (TOP / "README.md").read_text(encoding="utf-8").splitlines()
    assert command in [line.strip() for line in lines]


def test_only_known_names_lie_at_the_top() -> None:
    at_the_top = {name.split("/")[0] for name in tracked()}
    assert at_the_top - ALLOWED_AT_THE_TOP == set()


def test_nothing_tracked_is_ignored() -> None:
    assert tracked("--cached", "--ignored", "--exclude-standard") == []


@pytest.mark.parametrize("script", [".ci/run", ".ci/check", ".ci/quality"])
def test_script_is_executable_and_well_formed(script: str) -> None:
    assert (TOP / script).stat().st_mode & 0o111
    subprocess.run(["bash", "-n", script], cwd=TOP, check=True)
