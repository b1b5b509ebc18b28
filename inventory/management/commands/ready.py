"""Says whether a trip can leave, and why not: what its page says, in words or as data."""

import json
from argparse import ArgumentParser
from typing import Any

from django.utils import timezone

from inventory.compute.reasons import Level
from inventory.errors import Refused, say
from inventory.forms import sentences
from inventory.management.base import ShopCommand, moment
from inventory.queries import readiness, trips
from inventory.queries.notes import Answer, Note

FORMAT, VERSION = "tip-to-tail answer", 1
ANSWERS = {
    Level.FINE: "ready",
    Level.LOOK: "ready",
    Level.UNKNOWN: "cannot say",
    Level.STOP: "not ready",
}


class Command(ShopCommand):
    """`manage.py ready TRIP`: exit code 0 ready, 1 not ready or cannot say, 2 could not be answered."""

    help = "Says whether a trip can leave, with the reasons and what puts each right."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("trip", help="its name, of several the one that leaves next; or: next")
        parser.add_argument("--json", action="store_true", help="as data; /help documents the fields")

    def handle(self, *args: Any, trip: str, **options: Any) -> None:
        """Find the trip, ask the one question, and tell the answer."""
        self.need_books()
        today = timezone.localdate(moment())
        row = trips.called(trip, today)
        if row is None:
            raise Refused(
                "trip.unknown",
                say("No trip to come is called {name}.", name=trip),
                say("Write its name as the page Trips does, or: next."),
            )
        answer = readiness.answer(row, today)
        if options["json"]:
            self.stdout.write(json.dumps(data(row, answer), ensure_ascii=True, indent=2))
        else:
            self._tell(row, answer)
        if answer.level > Level.LOOK:
            self.no()

    def _tell(self, row: Any, answer: Answer) -> None:
        said = say("{name}, {day}: {answer}.", name=row.name, day=row.leaves_on, answer=ANSWERS[answer.level])
        self.tell(said)
        for note in answer.reasons:
            if note.level is not Level.FINE:
                self.tell(note.sentence, before=f"{_MARKS[note.level]} ")
                for more in filter(None, (note.why, *(cure.sentence for cure in note.cures))):
                    self.tell(more, before="    ")
        fine = sum(note.level is Level.FINE for note in answer.reasons)
        if fine:
            self.say("{count} more were looked at and are fine.", count=fine)
        self.say("By what was entered: weigh it, and go by plates, data sheets and local rules.")


_MARKS = {Level.STOP: "stop:", Level.UNKNOWN: "not known:", Level.LOOK: "look:"}


def data(row: Any, answer: Answer) -> dict[str, Any]:
    """The answer as data; `what-ready-answers` lists the fields."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "trip": str(row.id),
        "name": row.name,
        "loads_on": (row.loads_on or row.leaves_on).isoformat(),
        "leaves_on": row.leaves_on.isoformat(),
        "answer": ANSWERS[answer.level],
        "against": answer.against,
        "reasons": [_reason(note) for note in answer.reasons],
    }


def _reason(note: Note) -> dict[str, Any]:
    return {
        "code": note.code,
        "weight": note.level.name.lower(),
        "sentence": sentences.text(note.sentence),
        "why": sentences.text(note.why) if note.why else None,
        "things": list(note.codes),
        "by": note.by.isoformat() if note.by else None,
        "cures": [sentences.text(cure.sentence) for cure in note.cures],
    }
