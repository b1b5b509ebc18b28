"""What this laptop's clock may not do while it serves: stand before the program, or jump back.

Knows no topic and asks no database. A record carries its time, also to other laptops; reading needs none.
"""

from datetime import UTC, datetime, timedelta

from django.utils import timezone

from inventory.errors import Refused, say

EARLIEST = datetime(2026, 1, 1, tzinfo=UTC)  # no record can be older than the program
BACK = timedelta(hours=1)  # what a clock may be set back without a word, as when it was a little fast


def check_set(now: datetime) -> datetime:
    """The moment, when the clock can be right at all.

    Refuses: clock.unset
    """
    if now < EARLIEST:
        raise Refused(
            "clock.unset",
            say("The clock of this laptop stands at {now}.", now=timezone.localtime(now)),
            say("Set the clock first: every record carries its time, also to other laptops."),
        )
    return now


class Watch:
    """The latest moment a server knows: when it was started, and when it was last asked to write.

    What another laptop recorded, or this one before it was started, is no measure: it may be ahead for good.
    """

    def __init__(self, now: datetime) -> None:
        self._latest = check_set(now)

    def check(self, now: datetime) -> None:
        """Let one act through, and remember its moment.

        Refuses: clock.unset, clock.back
        """
        refused = self.wrong(now)
        if refused is not None:
            raise refused
        self._latest = max(self._latest, now)

    def wrong(self, now: datetime) -> Refused | None:
        """Why nothing is recorded at this moment; None when the clock may be right."""
        try:
            check_set(now)
        except Refused as unset:
            return unset
        if now >= self._latest - BACK:
            return None
        values = {"now": timezone.localtime(now), "latest": timezone.localtime(self._latest)}
        return Refused(
            "clock.back",
            say("The clock of this laptop stands at {now}, and stood at {latest} before.", **values),
            say(
                "Set the clock of the laptop. If it is right now and was wrong before, stop the server and "
                "start it again. Until then nothing is recorded; everything can be read."
            ),
        )
