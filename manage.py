#!/usr/bin/env python
"""The one door for commands: `python manage.py help` lists them."""

import os
import sys

from inventory.management.troubles import of_the_folder
from shop import folder


def main() -> None:
    """Hand the command line to Django; the demo's command works in a folder of its own."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    if sys.argv[1:2] == ["demo"]:
        folder.turn_to_demo()
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except OSError as error:  # the settings make the folder and its secret, before any command runs
        refused = of_the_folder(error, folder.asked())
        if refused is None:
            raise
        sys.stderr.write(f"{refused.sentence}\n{refused.what_to_do}\n")
        sys.exit(2)


if __name__ == "__main__":
    main()
