#!/usr/bin/env python
"""The door: every command of the shop starts here."""

import os
import sys


def main() -> None:
    """Run a management command; `demo` switches the settings to the invented shop before they are read."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    if sys.argv[1:2] == ["demo"]:
        os.environ["SHOP_MODE"] = "demo"
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit("Django is not installed here. Run the first command in README.md, then start again.")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
