"""Writes the whole shop, books and files, as one file, while it is in use."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from inventory.actions import shop as actions
from inventory.management import backups
from inventory.management.base import CLOCK_OPTION, CLOCK_RIGHT, ShopCommand, moment


class Command(ShopCommand):
    """`manage.py backup FILE`: written, read again whole, and only then named.

    No question about the clock keeps a backup from being made.
    """

    help = "Writes books, papers and photos as one file, and reads it again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file to write; it must not exist yet")
        self.add_clock_argument(parser)

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Write it."""
        self.need_books()
        now = moment()
        asked = None if options[CLOCK_RIGHT] else self.clock_asked(now)
        page = backups.write(file.absolute(), now)
        if asked is None:
            actions.note_backup(at=now)
        self.say(
            "The shop is in {file}: {mb} MB, the books and {count} files. It was read again and is whole. "
            "It holds names and contacts: keep it as you keep the laptop, and one copy elsewhere.",
            file=file,
            mb=round(file.stat().st_size / 1e6, 1),
            count=len(page.entries) - 1,
        )
        if asked is not None:
            self.tell(asked.sentence)
            self.say(
                "The backup is whole; in the books it is not noted when it was made. If the clock is right, "
                "make one more with {option}.",
                option=CLOCK_OPTION,
            )
