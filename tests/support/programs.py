"""Programs from outside that some tests need: skipped without them, but never in CI."""

import os
from typing import NoReturn

import pytest


def missing(what: str) -> NoReturn:
    """Skip the test that needs `what`; fail it where CI=true, which promises everything is there."""
    if os.environ.get("CI", "").lower() in {"true", "1"}:
        pytest.fail(f"{what} is missing, and CI must run every test.", pytrace=False)
    pytest.skip(f"{what} is not installed here.")
