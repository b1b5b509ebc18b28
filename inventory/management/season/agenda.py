"""What is to happen when, and who does it. Acts run in the order of their moments, as in life.

Ids are drawn from the season's own seed, so the same day gives the same season.
"""

import heapq
import json
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import count
from typing import Any
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from inventory.actions.by import By, Done
from inventory.compute import codes

FILE = settings.BASE_DIR / "fixtures" / "demo" / "season.json"
SEED = 20_26


def data() -> dict[str, Any]:
    """The season as it is written down."""
    found: dict[str, Any] = json.loads(FILE.read_text("utf-8"))
    return found


@dataclass
class Agenda:
    """The season's own calendar, dice and hands. `today` is the day it is made; day 0 of the file."""

    today: date
    dice: random.Random = field(default_factory=lambda: random.Random(SEED))  # noqa: S311 - a story, no secret
    people: dict[str, UUID] = field(default_factory=dict)
    acts: int = 0
    _waiting: list[tuple[datetime, int, Callable[[], object]]] = field(default_factory=list)
    _order: Any = field(default_factory=lambda: count())
    _at: datetime | None = None

    def day(self, offset: int) -> date:
        """The day so many days after today."""
        return self.today + timedelta(days=offset)

    def moment(self, offset: int, clock: str) -> datetime:
        """A moment of a day, in the shop's own time."""
        hours, minutes = map(int, clock.split(":"))
        at = datetime.combine(self.day(offset), time(hours, minutes))
        return timezone.make_aware(at, timezone.get_default_timezone())

    def plan(self, at: datetime, what: Callable[[], object]) -> None:
        """Let something happen at a moment."""
        heapq.heappush(self._waiting, (at, next(self._order), what))

    def run(self, until: datetime) -> None:
        """Let everything up to a moment happen, in order."""
        while self._waiting and self._waiting[0][0] < until:
            at, _, what = heapq.heappop(self._waiting)
            self._at = at if self._at is None else max(self._at, at)
            what()

    def do(self, action: Callable[..., Done], who: str = "", /, **values: Any) -> Done:
        """One act of one person, at the moment that is running, a few seconds after the one before."""
        assert self._at is not None, "nothing happens outside the agenda"  # noqa: S101 - a slip in the season
        self._at += timedelta(seconds=self.dice.randint(5, 40))
        self.acts += 1
        token = codes.uuid7(
            milliseconds=int(self._at.timestamp() * 1000),
            random=self.dice.getrandbits(80).to_bytes(10, "big"),
        )
        return action(By(token=token, now=self._at, person=self.people.get(who)), **values)
