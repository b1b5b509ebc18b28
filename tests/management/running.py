"""Runs a command in this process and gives what it said and how it ended."""

import io
from dataclasses import dataclass

from django.core.management import call_command


@dataclass(frozen=True)
class Ran:
    """What a command said on both streams, and its exit code."""

    out: str
    err: str
    code: int


def run(*words: object) -> Ran:
    """`run("trace", "SA8K-J2MT", "--json")`."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    try:
        call_command(*map(str, words), stdout=out, stderr=err)
    except SystemExit as end:
        code = int(end.code or 0)
    return Ran(out.getvalue(), err.getvalue(), code)
