"""What this laptop's clock may not do while it serves: stand before the program, jump back, or leap unasked.

Knows no topic and asks no database. A record carries its time, also to other laptops; reading needs none.
"""

from datetime import UTC, datetime, timedelta

from django.utils import timezone

from inventory.errors import Refused, say

EARLIEST = datetime(2026, 1, 1, tzinfo=UTC)  # no record can be older than the program
BACK = timedelta(hours=1)  # what a clock may be set back without a word, as when it was a little fast
LEAP = timedelta(days=30)  # so long may nothing have been recorded: common practice, no source
ASKED = "clock.leap"


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

    `last`: when this laptop recorded something before, by its clock then. That clock may have been wrong, so
    a moment far from it is asked about and not refused for good. What another laptop recorded is no measure:
    it may be ahead for good.
    """

    def __init__(self, now: datetime, last: datetime | None = None) -> None:
        self._latest = check_set(now)
        self._last = last

    def check(self, now: datetime) -> None:
        """Let one act through, and remember its moment.

        Refuses: clock.unset, clock.back, clock.leap
        """
        refused = self.wrong(now)
        if refused is not None:
            raise refused
        self._latest = max(self._latest, now)
        self._last = now

    def sure(self, now: datetime) -> None:
        """Take it that the clock is right, as somebody says who looked.

        Refuses: clock.unset, clock.back
        """
        refused = self.wrong(now)
        if refused is not None and refused.code != ASKED:
            raise refused
        self._last = now

    def wrong(self, now: datetime) -> Refused | None:
        """Why nothing is recorded at this moment; None when the clock may be right."""
        try:
            check_set(now)
        except Refused as unset:
            return unset
        if now >= self._latest - BACK:
            return self._leapt(now)
        values = {"now": timezone.localtime(now), "latest": timezone.localtime(self._latest)}
        return Refused(
            "clock.back",
            say("The clock of this laptop stands at {now}, and stood at {latest} before.", **values),
            say(
                "Set the clock of the laptop. If it is right now and was wrong before, stop the server and "
                "start it again. Until then nothing is recorded; everything can be read."
            ),
        )

    def _leapt(self, now: datetime) -> Refused | None:
        if self._last is None or -BACK <= now - self._last <= LEAP:
            return None
        values = {"now": timezone.localtime(now), "last": timezone.localtime(self._last)}
        return Refused(
            ASKED,
            say("The clock of this laptop stands at {now}; what it recorded last is of {last}.", **values),
            say(
                "If the clock is right, say so on any page. Else set it. Until then nothing is recorded: "
                "every age and every date would be wrong for good."
            ),
        )
