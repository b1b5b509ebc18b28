"""Runs a command in this process and gives what it said and how it ended.

Its clock stands an hour after what was recorded last, unless the test sets one.
"""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta

import time_machine
from django.core.management import call_command
from django.db import connection

from inventory.management import tables
from inventory.queries import machine


@dataclass(frozen=True)
class Ran:
    """What a command said on both streams, and its exit code."""

    out: str
    err: str
    code: int


@contextmanager
def clock() -> Iterator[None]:
    """The laptop's clock, as it would stand."""
    there = tables.there(connection) and not time_machine.escape_hatch.is_travelling()
    last = machine.last_recorded() if there else None
    if last is None:
        yield
    else:
        with time_machine.travel(last + timedelta(hours=1)):
            yield


def run(*words: object) -> Ran:
    """`run("trace", "SA8K-J2MT", "--json")`."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    try:
        with clock():
            call_command(*map(str, words), stdout=out, stderr=err)
    except SystemExit as end:
        code = int(end.code or 0)
    return Ran(out.getvalue(), err.getvalue(), code)
