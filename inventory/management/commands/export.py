"""Writes a shop's whole books as one file, to carry to another laptop."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.db import transaction

from inventory.errors import Refused, say
from inventory.formats import bundle
from inventory.management.base import ShopCommand, moment
from inventory.queries import exchange, ledger, shop


class Command(ShopCommand):
    """`manage.py export FILE`: the bundle that `merge` reads on the other laptop."""

    help = "Writes the whole books as a bundle, to carry to another laptop."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file to write; it must not exist yet")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Write beside, then rename: a bundle cut short never has the name that was asked for."""
        self.need_books()
        now = moment()
        self.own_folder(now)
        here, card = ledger.here(), shop.card()
        if file.exists():
            raise Refused(
                "export.exists",
                say("There is a file {file} already.", file=file),
                say("Give the bundle another name, or take that file away first."),
            )
        header = bundle.Header(
            shop=str(card.id) if card else "", machine=str(here.id), made=now.isoformat(timespec="seconds")
        )
        part = file.with_name(file.name + ".part")
        try:
            with part.open("wb") as out, transaction.atomic():
                rows = bundle.write(out, header, exchange.rows())
            part.replace(file)
        finally:
            part.unlink(missing_ok=True)
        self.say(
            "The books of laptop {letter} are in {file}: {rows} rows. "
            "It holds guests' names: keep it as you keep the laptop.",
            rows=rows,
            letter=here.letter,
            file=file,
        )
