"""Serves the real shop: brings its books up to date, notices a copied folder, and says where it answers."""

from argparse import ArgumentParser
from contextlib import closing
from typing import Any

from django.conf import settings
from django.db import connection

from inventory.errors import Refused, say
from inventory.management import serving, tables
from inventory.management.base import moment
from inventory.management.server_command import ServerCommand
from inventory.queries import ledger, machine, shop
from shop import folder

HOUR = 3_600_000_000  # microseconds


class Command(ServerCommand):
    """`manage.py serve`: the shop on this laptop and for the phones around it."""

    help = "Serves the real shop; the first time it asks in the browser what it must know."

    def add_arguments(self, parser: ArgumentParser) -> None:
        self.add_server_arguments(parser)
        parser.add_argument(
            "--letter",
            default="",
            help="for a copied data folder that becomes a further laptop: the letter that begins its codes",
        )

    def handle(self, *args: Any, host: str, port: int, letter: str, **options: Any) -> None:
        """Check what could go wrong before anything answers."""
        now = moment()
        self.folder_line()
        self._refuse_demo()
        with closing(serving.claim(settings.DATA_FOLDER)) as claim:
            tables.bring_up_to_date(connection)
            self.check_books()
            self._refuse_demo()
            last = machine.last_recorded()  # before a copy writes that it is one
            self.own_folder(now, letter)
            self._clock(now)
            if not shop.is_set_up():
                self.say(
                    "This shop is not set up yet: open the address on this laptop; it asks what it must."
                )
            self.serve(host, port, claim=claim, last=last)

    def _refuse_demo(self) -> None:
        card = shop.card() if tables.there(connection) else None
        if folder.is_demo(settings.DATA_FOLDER) or (card and card.demo):
            raise Refused(
                "serve.demo",
                say("{folder} is the demo's folder, not a shop's.", folder=settings.DATA_FOLDER),
                say("Serve it with manage.py demo, or name the shop's own folder with SHOP_DATA."),
            )

    def _clock(self, now: Any) -> None:
        """Say when the newest record lies ahead of this laptop's clock: one of the two is wrong."""
        newest = max((machine.clock for machine in ledger.machines()), default=0)
        ahead = newest - ledger.microseconds(now)
        if ahead > HOUR:
            self.say(
                "The newest record is {hours} h ahead of this laptop's clock. Set the clock if it is wrong.",
                hours=round(ahead / HOUR, 1),
            )
