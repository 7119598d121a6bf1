"""Settings for benchmarks: the shop with one more address (tests/benchmarks/trivial_urls.py).

With BARE=yes no middleware stands before it: the least that Django can do for an answer.
"""

import os

from shop.settings import *  # noqa: F403 - these are the shop's settings

if os.environ.get("BARE") == "yes":
    MIDDLEWARE = []
ROOT_URLCONF = "tests.benchmarks.trivial_urls"
