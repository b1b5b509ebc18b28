"""Serves the shop to this laptop and to the phones around it: one server a data folder, threads, plain HTTP.

Knows no topic. What it says first: which folder, which addresses, and a code for a phone's camera.
"""

import errno
import io
import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import qrcode
from django.conf import settings
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer, create_server

from inventory.actions.loggers import FILE_MOST
from inventory.actions.watch import Watch
from inventory.errors import Refused, Sentence, say
from inventory.management import troubles
from inventory.queries import network
from shop import folder as folders

PORT, PORTS_TRIED, THREADS = 8000, 20, 4
BODY_MOST = FILE_MOST + settings.DATA_UPLOAD_MAX_MEMORY_SIZE  # what is too heavy gets a sentence, no bare 413
EVERYWHERE, HERE = "0.0.0.0", "127.0.0.1"  # noqa: S104 - phones reach the laptop through its own network
_TAKEN = frozenset({errno.EADDRINUSE, errno.EACCES, 10013, 10048})  # the last two are Windows' own


class LeftOut:
    """A body that is taken to its end and thrown away. Knows how much is still to come."""

    error = None

    def __init__(self, size: int) -> None:
        self.remain = size

    @property
    def completed(self) -> bool:
        """True when all of it came."""
        return not self.remain

    def received(self, data: bytes) -> int:
        """How much of this was part of it."""
        taken = min(self.remain, len(data))
        self.remain -= taken
        return taken

    def getfile(self) -> io.BytesIO:
        """What is kept of it: nothing."""
        return io.BytesIO()

    def getbuf(self) -> io.BytesIO:
        """The same."""
        return io.BytesIO()


class Parser(HTTPRequestParser):
    """Takes in what is too heavy without keeping it, and says so to the pages, which have words for it.

    Answered while it is still being sent, a browser would show a broken connection and no page.
    """

    content_length: int
    completed: bool

    def parse_header(self, header_plus: bytes) -> None:
        """Read the header; leave out the body that is over the limit."""
        super().parse_header(header_plus)
        self.headers.pop("LEFT_OUT", None)  # a header of that name is no business of whoever asks
        if self.content_length >= self.adj.max_request_body_size:
            self.body_rcv = LeftOut(self.content_length)
            self.headers |= {"CONTENT_LENGTH": "0", "LEFT_OUT": str(self.content_length)}
            self.content_length = 0

    def received(self, data: bytes) -> int:
        """Take in the next piece of a request."""
        if not isinstance(self.body_rcv, LeftOut) or self.completed:
            return int(super().received(data))
        taken = self.body_rcv.received(data)
        self.completed = self.body_rcv.completed
        return taken


class Channel(HTTPChannel):
    """A connection that reads so."""

    parser_class = Parser


TcpWSGIServer.channel_class = Channel


def claim(folder: Path) -> folders.Claim:
    """Make sure no other server uses the folder, and that there is room to write in it.

    Refuses: data.served, data.no_room, data.no_right
    """
    check_room(folder, shutil.disk_usage(folder).free)
    if not os.access(folder, os.W_OK):
        raise troubles.no_right(folder)
    try:
        return folders.Claim(folder)
    except folders.InUse as error:
        where = error.by or "somewhere on this laptop"
        raise Refused(
            "data.served",
            say("Another server uses the data folder {folder} already: {where}.", folder=folder, where=where),
            say("Use that one, or stop it first."),
        ) from error


def check_room(folder: Path, free: int) -> None:
    """Refuse to begin on a disk that is nearly full.

    Units: bytes
    Refuses: data.no_room
    """
    if free < troubles.LEAST_FREE:
        raise troubles.no_room(folder, free)


def watched(application: Any, watch: Watch) -> Callable[..., Any]:
    """The same, every request of it with the clock that is watched: `views.frame` asks it before an act."""

    def answer(environ: dict[str, Any], start_response: Any) -> Any:
        return application(environ | {"watched_clock": watch}, start_response)

    return answer


def bind(application: Any, host: str, port: int, tell: Callable[[Sentence], None]) -> Any:
    """A server on this port or the next that is free; says which was taken.

    Refuses: serve.no_port
    """
    for tried in range(port, port + PORTS_TRIED):
        if network.answers(HERE, tried):
            tell(say("Port {port} is taken; trying {next}.", port=tried, next=tried + 1))
            continue
        try:
            return create_server(
                application,
                host=host,
                port=tried,
                threads=THREADS,
                max_request_body_size=BODY_MOST,
                channel_request_lookahead=1,  # so that it is noticed when whoever asked has left
                ident="",
            )
        except OSError as error:
            if error.errno not in _TAKEN:
                raise
            tell(say("Port {port} is taken; trying {next}.", port=tried, next=tried + 1))
    raise Refused(
        "serve.no_port",
        say("Ports {first} to {last} are all taken.", first=port, last=port + PORTS_TRIED - 1),
        say("Name another with --port."),
    )


def code_for_phones(address: str) -> str:
    """The address as a QR code of half blocks, for a terminal with light letters on dark ground."""
    drawn = io.StringIO()
    code = qrcode.QRCode(border=2)
    code.add_data(address)
    code.print_ascii(out=drawn, invert=True)
    return drawn.getvalue().rstrip("\n")


def addresses(host: str, port: int) -> tuple[str, str]:
    """For this machine, and for the local network; the second empty when there is none, or not for all."""
    near = network.own_address() if host == EVERYWHERE else ""
    here = HERE if host == EVERYWHERE else host
    return f"http://{here}:{port}/", f"http://{near}:{port}/" if near else ""


def can_draw() -> bool:
    """True when the terminal has the letters a code is drawn with."""
    try:
        "█▀▄".encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True
