"""What `serve` and `demo` do alike once the books are ready: say where, and serve until stopped."""

from argparse import ArgumentParser
from contextlib import closing
from datetime import datetime

from django.conf import settings
from django.core.management.base import SystemCheckError
from django.db import connection, connections
from django.urls import get_resolver

from inventory.actions.watch import Watch
from inventory.errors import Refused, say
from inventory.management import serving
from inventory.management.base import ShopCommand, moment
from shop import folder


class ServerCommand(ShopCommand):
    """A command that ends by serving the shop."""

    def add_server_arguments(self, parser: ArgumentParser) -> None:
        """Where to listen."""
        parser.add_argument("--port", type=int, default=serving.PORT, help="the first port to try")
        parser.add_argument(
            "--host",
            default=serving.EVERYWHERE,
            help="the address to listen on; 127.0.0.1 keeps phones and others out",
        )

    def check_books(self) -> None:
        """The guards and the settings of the database, or nothing is served.

        Refuses: data.unguarded
        """
        try:
            self.check(databases=["default"])
        except SystemCheckError as error:
            raise Refused(
                "data.unguarded",
                say("The books are not protected as they must be: {why}", why=str(error).strip()),
                say("Run manage.py migrate; if that does not help, set the folder aside and ask for help."),
            ) from error

    def serve(self, host: str, port: int, *, claim: folder.Claim, last: datetime | None = None) -> None:
        """Say where, and serve until stopped. The folder is claimed by the caller.

        `last`: when this laptop recorded something before.
        """
        from shop.wsgi import application

        get_resolver().url_patterns  # noqa: B018 - reads every page's module: the first one need not wait
        watched = serving.watched(application, Watch(moment(), last))
        server = serving.bind(watched, host, port, self.tell)
        here, near = serving.addresses(host, int(server.effective_port))
        claim.say(near or here)
        self.say("On this laptop: {address}", address=here)
        if near:
            self.say("For phones in the same network: {address}", address=near)
            if serving.can_draw():
                self.tell(serving.code_for_phones(near))
        elif host == serving.EVERYWHERE:
            self.say("This laptop is in no network: phones cannot reach it now.")
        self.say("Stop it with Ctrl+C.")
        self.stdout.flush()
        connections.close_all()
        with closing(server):
            server.run()

    def folder_line(self) -> None:
        """Say whose books these are."""
        self.say("Data folder: {folder}", folder=settings.DATA_FOLDER)
        if connection.vendor != "sqlite":
            self.say("Books: PostgreSQL, {name}", name=connection.settings_dict["NAME"])
