"""Makes a shop from a backup, in an empty data folder, and proves that it is the one backed up."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from inventory.actions import exchange
from inventory.errors import Refused, say
from inventory.management import backups
from inventory.management import erased as erasing
from inventory.management.base import CLOCK_RIGHT, ShopCommand, moment, new_id
from inventory.queries import erased, machine
from inventory.queries.books import differences


class Command(ShopCommand):
    """`manage.py restore FILE`: exit code 1 when the books that were restored differ from their events."""

    help = "Makes a shop from a backup in an empty data folder, and proves it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a file that manage.py backup wrote")
        parser.add_argument(
            "--erased",
            type=Path,
            default=None,
            help="the list of people who were erased; without it, the one beside the data folder",
        )
        self.add_clock_argument(parser)

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Restore, prove, become another machine, and erase again who was erased since."""
        now = moment()
        self.folder_there()
        listed = erased.read(options["erased"] or erased.path(), must=options["erased"] is not None)
        if not options[CLOCK_RIGHT]:
            self._check_clock(now, backups.made_at(file.absolute()))
        page = backups.restore(file.absolute())
        self.say("The books are those of {made}: the ledger's hash is the same.", made=page.made)
        with transaction.atomic(durable=True):
            exchange.carry_on(self.by(now), id=new_id(now), fingerprint=machine.fingerprint())
        self.say(
            "They go on as another laptop of the same letter; what the old one wrote since can be merged."
        )
        self._erase_again(listed, now)
        found = [str(row) for row in differences()]
        for line in found:
            self.tell(line)
        if found:
            self.no()
        self.say("Every derived row is what the events say.")
        connection.close()

    def folder_there(self) -> None:
        """The data folder, made when it is not there."""
        Path(settings.DATA_FOLDER).mkdir(mode=0o700, parents=True, exist_ok=True)

    def _check_clock(self, now: datetime, made: datetime) -> None:
        """What was recorded before is in the file: its moment is known without the books.

        Refuses: clock.leap
        """
        refused = self.clock_asked(now, made)
        if refused is not None:
            values = {"now": timezone.localtime(now), "made": timezone.localtime(made)}
            sentence = say("The clock of this laptop stands at {now}; the backup was made {made}.", **values)
            raise Refused(refused.code, sentence, refused.what_to_do)

    def _erase_again(self, listed: list[erased.Erased] | None, now: Any) -> None:
        if listed is None:
            self.say(
                "No list of erased people was found at {path}. If anybody was erased since this backup, "
                "erase them again before the shop is used.",
                path=erased.path(),
            )
            return
        count = erasing.again(listed, self.by, now)
        self.say("People erased again, by the list of those who were: {count}.", count=count)
