"""Merges the books another laptop exported into this data folder's."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.db import connection, transaction

from inventory.actions import erasing, exchange
from inventory.actions import shop as founding
from inventory.errors import Refused, say
from inventory.formats import bundle
from inventory.management import tables
from inventory.management.base import CLOCK_RIGHT, ShopCommand, moment, new_id
from inventory.queries import exchange as books
from inventory.queries import ledger, machine

HOUR = 3_600_000_000  # microseconds


class Command(ShopCommand):
    """`manage.py merge FILE`: nothing is lost or doubled; a fresh folder becomes a laptop of that shop."""

    help = "Merges a bundle of another laptop into these books."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the bundle that manage.py export wrote")
        parser.add_argument(
            "--letter",
            default="",
            help="for a fresh data folder: the letter that begins every code this laptop draws",
        )
        self.add_clock_argument(parser)

    def handle(self, *args: Any, file: Path, letter: str, **options: Any) -> None:
        """Read the whole bundle first; then one transaction for the laptop's letter and the merge."""
        now = moment()
        with file.open("rb") as packed:
            header, rows = bundle.read(packed)
        tables.bring_up_to_date(connection)
        self.check_clock(now, right=options[CLOCK_RIGHT])
        self.own_folder(now)
        before = books.size()
        with transaction.atomic(durable=True):
            if not any(known.here for known in ledger.machines()):
                self._found(letter, new_id(now))
            elif letter:
                raise Refused(
                    "merge.has_letter",
                    say("This laptop has the letter {letter} already.", letter=ledger.here().letter),
                    say("Merge without --letter."),
                )
            exchange.meet(self.by(now), header=header, rows=rows)
        erasing.note_down_merged()
        self._tell_what_came(before)

    def _found(self, letter: str, id: Any) -> None:
        if not letter:
            raise Refused(
                "merge.no_letter",
                say("This data folder is fresh, and its laptop has no letter yet."),
                say(
                    "Add --letter with a letter no laptop of the shop has: it stands in each code drawn here."
                ),
            )
        founding.found_machine(id=id, letter=letter, fingerprint=machine.fingerprint())

    def _tell_what_came(self, before: books.Size) -> None:
        after = books.size()
        self.say(
            "Events that came in: {events}; changes of cards: {revisions}.",
            events=after.events - before.events,
            revisions=after.revisions - before.revisions,
        )
        for other in ledger.machines():
            if other.ahead > HOUR and not other.here:
                self.say(
                    "The clock of laptop {letter} was {hours} h ahead of this one: set the wrong one.",
                    letter=other.letter,
                    hours=round(other.ahead / HOUR, 1),
                )
        still = ledger.open_disagreements().count()
        if still:
            self.say("Disagreements that wait for people to settle them: {count}.", count=still)
        else:
            self.say("Nothing disagrees.")
