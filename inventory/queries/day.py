"""READ what to know today: sentences with their weight and where to go, most urgent first."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils.timezone import get_current_timezone

from inventory.compute.reasons import Level
from inventory.errors import Sentence, say
from inventory.models import Hold
from inventory.queries import ledger, scans
from inventory.queries.bench import in_work
from inventory.queries.dossier_names import named
from inventory.queries.stock_list import Listing, Wanted

SOON = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Note:
    """One sentence of the day sheet; `url`: the name of the page it leads to."""

    sentence: Sentence
    level: Level
    why: Sentence | None = None
    url: str = ""


def notes(today: date) -> list[Note]:
    """Everything to know today."""
    found = [*_disagreements(), *_holds(), *_dates(today), *_scans(today), *_bench()]
    return sorted(found, key=lambda note: -note.level)


def _disagreements() -> list[Note]:
    count = ledger.open_disagreements().count()
    if not count:
        return []
    return [Note(say("{count} times two truths disagree: settle them.", count=count), Level.LOOK)]


def _holds() -> list[Note]:
    things = named(Hold.objects.values_list("thing_id", flat=True))
    return [Note(say("{thing} is on hold.", thing=str(thing)), Level.LOOK) for thing in things.values()]


def _dates(today: date) -> list[Note]:
    found = []
    for row in Listing(Wanted(until=today + SOON), today=today).rows(0, 200):
        values = {"thing": f"{row.material} {row.code}", "date": row.usable.through}
        if row.usable.past(today):
            found.append(Note(say("{thing} passed its date on {date}.", **values), Level.STOP))
        else:
            found.append(Note(say("{thing} passes its date on {date}.", **values), Level.LOOK))
    return found


def _scans(today: date) -> list[Note]:
    end = datetime.combine(today + timedelta(days=1), time.min, tzinfo=get_current_timezone())
    count = scans.failed_lately(end)
    if not count:
        return []
    return [
        Note(
            say("{count} codes were scanned this week and led to nothing.", count=count),
            Level.LOOK,
            url="scan-failed",
        )
    ]


def _bench() -> list[Note]:
    waiting: dict[str, int] = {}
    for pair in in_work():
        waiting[pair.waits_for] = waiting.get(pair.waits_for, 0) + 1
    return [
        Note(say("{count} pairs wait to be {step}.", count=count, step=step), Level.FINE)
        for step, count in waiting.items()
    ]
