"""Says what a thing is made of, what it went through and what it went into: what its page says, in words."""

import json
from argparse import ArgumentParser
from typing import Any

from inventory.formats.plain import plain
from inventory.management import words
from inventory.management.base import ShopCommand
from inventory.queries import dossier as query
from inventory.queries.dossier.facts import FORMAT, VERSION


class Command(ShopCommand):
    """`manage.py trace CODE`: exit code 0 when the thing was found, 2 when not."""

    help = "Says what a thing is made of and what was made of it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("code", help="as printed, typed or scanned, in any case")
        parser.add_argument("--json", action="store_true", help="as data; /help documents the fields")

    def handle(self, *args: Any, code: str, **options: Any) -> None:
        """Find the thing, ask the one query, and tell it."""
        self.need_books()
        dossier = query.dossier_of(code)
        if options["json"]:
            data = {"format": FORMAT, "version": VERSION} | plain(dossier)
            self.stdout.write(json.dumps(data, ensure_ascii=True, indent=2))
            return
        for line in words.lines(dossier):
            self.tell(line)
