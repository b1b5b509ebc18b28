"""Writes a shop's whole books as one file, to carry to another laptop."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.db import transaction

from inventory.errors import Refused, say
from inventory.management import bundles
from inventory.management.base import CLOCK_RIGHT, ShopCommand, moment
from inventory.queries import ledger


class Command(ShopCommand):
    """`manage.py export FILE`: the bundle that `merge` reads on the other laptop."""

    help = "Writes the whole books as a bundle, to carry to another laptop."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file to write; it must not exist yet")
        self.add_clock_argument(parser)

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Refuse to write over a file; a copied folder is said to be one before it writes a bundle."""
        self.need_books()
        now = moment()
        self.check_clock(now, right=options[CLOCK_RIGHT])
        self.own_folder(now)
        if file.exists():
            raise Refused(
                "export.exists",
                say("There is a file {file} already.", file=file),
                say("Give the bundle another name, or take that file away first."),
            )
        with transaction.atomic():  # the books at one moment
            rows = bundles.write(file, now)
        self.say(
            "The books of laptop {letter} are in {file}: {rows} rows. "
            "It holds guests' names: keep it as you keep the laptop.",
            rows=rows,
            letter=ledger.here().letter,
            file=file,
        )
