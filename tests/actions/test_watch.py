"""The clock while a server runs: set back or never set, no act; ahead or a little back, acts."""

from datetime import timedelta

import pytest

from inventory.actions.watch import BACK, EARLIEST, LEAP, Watch, check_set
from tests.make import MONDAY, refused

H = timedelta(hours=1)
SECOND = timedelta(seconds=1)


def test_watch_lets_time_pass_and_a_clock_that_was_a_little_fast():
    """An hour back to the second; a second more is refused, and says both moments."""
    watch = Watch(MONDAY)
    watch.check(MONDAY + 3 * H)
    watch.check(MONDAY + 3 * H - BACK)
    assert watch.wrong(MONDAY + 2 * H) is None
    with refused("clock.back", "stood at"):
        watch.check(MONDAY + 2 * H - SECOND)


def test_watch_that_refused_takes_the_clock_again_once_it_is_set():
    """A refused act leaves no trace in it."""
    watch = Watch(MONDAY)
    for wrong in (EARLIEST - SECOND, MONDAY - 2 * H):
        with pytest.raises(Exception, match="clock"):
            watch.check(wrong)
    watch.check(MONDAY + H)


def test_watch_of_a_server_started_anew_goes_by_the_clock_as_it_is_then():
    """A clock that ran ahead and was put right: the old server refuses, a new one does not."""
    ahead = Watch(MONDAY + 100 * H)
    with refused("clock.back"):
        ahead.check(MONDAY)
    Watch(MONDAY).check(MONDAY)


@pytest.mark.parametrize("after", [timedelta(0), SECOND])
def test_a_clock_before_the_program_is_no_clock(after):
    """From the first second of 2026 on it may be right."""
    assert check_set(EARLIEST + after) == EARLIEST + after
    with refused("clock.unset"):
        check_set(EARLIEST - SECOND - after)
    with refused("clock.unset"):
        Watch(EARLIEST - SECOND)


@pytest.mark.parametrize(
    ("from_last", "asks"),
    [(LEAP, False), (LEAP + SECOND, True), (-BACK, False), (-BACK - SECOND, True)],
)
def test_watch_asks_about_a_clock_far_from_what_was_recorded_last(from_last, asks):
    """Thirty days after it and an hour before it pass; a second more does, once somebody says it is right."""
    now = MONDAY + from_last
    watch = Watch(now, MONDAY)
    if asks:
        with refused("clock.leap", "what it recorded last is of"):
            watch.check(now)
        watch.sure(now)
    watch.check(now)
    watch.check(now + LEAP)
    with refused("clock.leap"):
        watch.check(now + 2 * LEAP + SECOND)


def test_watch_takes_no_word_for_a_clock_that_cannot_be_right():
    """Set back while it serves; and with nothing recorded before there is nothing to ask about."""
    watch = Watch(MONDAY)
    watch.check(MONDAY + 2 * LEAP)
    with refused("clock.back"):
        watch.sure(MONDAY)
    watch.sure(MONDAY + 2 * LEAP)
