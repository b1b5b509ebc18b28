"""The addresses of the house, as the tests of this folder read them."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

SAMPLES = {"code": "SA8KJ2MT", "uuid": "01890a5d-ac96-774b-bcce-b302099a8057", "path": "words", "int": "1"}


@dataclass(frozen=True)
class Address:
    """One address: its name, its route, and the view it calls."""

    name: str | None
    route: str
    view: Callable[..., Any]

    @property
    def words(self) -> list[str]:
        """The parts of the path that are not values."""
        return [part for part in self.route.strip("/").split("/") if part and "<" not in part]

    @property
    def sample(self) -> str:
        """The address with some value in every place."""
        return "/" + re.sub(
            r"<(?:(\w+):)?\w+>", lambda place: SAMPLES.get(place[1] or "str", "x"), self.route
        )


def addresses() -> list[Address]:
    """Every address there is."""

    def walk(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[Address]:
        for pattern in patterns:
            route = before + str(pattern.pattern)
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns, route)
            else:
                yield Address(pattern.name, route, pattern.callback)

    return list(walk(get_resolver().url_patterns, ""))
