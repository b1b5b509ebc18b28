"""Writes the whole shop, books and files, as one file, while it is in use."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from inventory.actions import shop as actions
from inventory.management import backups
from inventory.management.base import ShopCommand, moment


class Command(ShopCommand):
    """`manage.py backup FILE`: written, read again whole, and only then named."""

    help = "Writes books, papers and photos as one file, and reads it again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file to write; it must not exist yet")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Write it."""
        self.need_books()
        now = moment()
        page = backups.write(file.absolute(), now)
        actions.note_backup(at=now)
        self.say(
            "The shop is in {file}: {mb} MB, the books and {count} files. It was read again and is whole. "
            "It holds names and contacts: keep it as you keep the laptop, and one copy elsewhere.",
            file=file,
            mb=round(file.stat().st_size / 1e6, 1),
            count=len(page.entries) - 1,
        )
