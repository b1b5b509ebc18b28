"""Makes the demo season, in a folder of its own, and serves it."""

import hashlib
import sys
from argparse import ArgumentParser
from contextlib import closing
from pathlib import Path
from time import perf_counter
from typing import Any

from django.conf import settings
from django.db import connection
from django.utils import timezone

from inventory.errors import Refused, say
from inventory.management import serving, tables
from inventory.management.base import moment
from inventory.management.season import second_laptop
from inventory.management.season.agenda import FILE, data
from inventory.management.season.make import make_season
from inventory.management.server_command import ServerCommand
from inventory.queries.shop import UNITS
from shop import folder


class Command(ServerCommand):
    """`manage.py demo`: an invented season with real troubles, made anew each day."""

    help = "Makes the demo season in a folder of its own, and serves it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        self.add_server_arguments(parser)
        parser.add_argument("--no-serve", action="store_true", help="only make it")
        parser.add_argument("--fresh", action="store_true", help="make it anew, whatever was done in it")
        parser.add_argument("--units", choices=UNITS, help="the units people type and read: metric or us")

    def handle(self, *args: Any, host: str, port: int, units: str | None, **options: Any) -> None:
        """Make it when it is missing, was made on an earlier day, or is asked for otherwise."""
        now = moment()
        self._refuse_elsewhere()
        self.folder_line()
        with closing(serving.claim(settings.DATA_FOLDER)) as claim:
            self._make_when_needed(timezone.localdate(now), units, fresh=options["fresh"])
            self._sign_ins()
            if not options["no_serve"]:
                self.serve(host, port, claim=claim)

    def _refuse_elsewhere(self) -> None:
        """Never write the season into anything but the demo's own folder and file.

        Refuses: demo.elsewhere
        """
        own = settings.DATA_FOLDER
        file = own / "shop.sqlite3"
        its_file = connection.vendor == "sqlite" and Path(str(connection.settings_dict["NAME"])) == file
        if not its_file or (folder.has_books(own) and not folder.is_demo(own)):
            raise Refused(
                "demo.elsewhere",
                say("The books in {folder} are not the demo's.", folder=own),
                say("Run python manage.py demo; it finds a folder of its own beside the shop's."),
            )

    def _make_when_needed(self, today: Any, units: str | None, *, fresh: bool) -> None:
        own = settings.DATA_FOLDER
        there = folder.read_mark(own)
        wanted = folder.Mark(
            made=today.isoformat(), units=units or (there.units if there else UNITS[0]), of=_made_of()
        )
        if there == wanted and not fresh:
            self.say("The demo season was made earlier today; --fresh makes it anew.")
            return
        connection.close()
        folder.write_mark(own, folder.Mark(made="", units=wanted.units, of=wanted.of))
        folder.clear_demo(own)
        folder.write_mark(own, folder.Mark(made="", units=wanted.units, of=wanted.of))
        self.say("Making the demo season: two winters of records, and this one.")
        began = perf_counter()
        tables.bring_up_to_date(connection)
        acts = make_season(today=today, units=wanted.units, folder=own, tell=self._progress)
        folder.write_mark(own, wanted)
        seconds = round(perf_counter() - began)
        self.say("Made of {acts} acts in {seconds} s.", acts=acts, seconds=seconds)

    def _progress(self, line: str) -> None:
        self.tell(line, before="  ")
        self.stdout.flush()

    def _sign_ins(self) -> None:
        season = data()
        self.tell("")
        for row in season["people"]:
            self.say(
                "Sign in as {sign_in}, password “{password}”: {name}, {role}.",
                sign_in=row["sign_in"],
                password=season["password"],
                name=row["name"],
                role=row["role"],
            )
        own = settings.DATA_FOLDER
        self.say(
            "A second laptop worked apart; its bundle is {file}. To merge it, set SHOP_DATA to {folder} in "
            "another terminal and run: {python} manage.py merge {file}",
            file=own / second_laptop.BUNDLE,
            python=sys.executable,
            folder=own,
        )


def _made_of() -> str:
    """A digest of the season as written, and of the tables it is made in."""
    migrations = sorted((settings.BASE_DIR / "inventory" / "migrations").glob("*.py"))
    return hashlib.sha256(b"".join(path.read_bytes() for path in (FILE, *migrations))).hexdigest()[:16]
