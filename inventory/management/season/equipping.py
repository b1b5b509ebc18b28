"""What the season's places and equipment are known by: plates, distances, thermometers, inspections."""

import re
from datetime import date
from functools import partial
from typing import Any

from inventory.actions import care, equipment, loggers, places
from inventory.formats.logger import remembered
from inventory.management.season.agenda import FILE
from inventory.management.season.stocking import Stocking
from inventory.queries import equipment as read
from inventory.queries import loggers as loggers_read

MEASURED = -795  # the day the trailers were measured and their plates read


class Equipping:
    """Plans it into the agenda. All numbers stand in the file, and all are invented."""

    def __init__(self, stocking: Stocking) -> None:
        self.stocking, self.agenda, self.data = stocking, stocking.agenda, stocking.data

    def plan(self) -> None:
        """Measures once; each reading and each inspection on its own day."""
        at = self.agenda.moment
        self.agenda.plan(at(MEASURED, "14:00"), self._measure)
        for row in self.data["inspections"]:
            self.agenda.plan(at(row["day"], "13:00"), partial(self._inspect, row))
        for row in self.data["readings"]:
            for reading in row["rows"]:
                self.agenda.plan(at(reading[0], "11:00"), partial(self._read, row["place"], *reading[1:]))

        for row in self.data["logs"]:
            self.agenda.plan(at(row["day"], "12:00"), partial(self._attach, row))

    def _measure(self) -> None:
        for row in self.data["measures"]:
            place = self.stocking.places[tuple(row["place"])]
            self.agenda.do(places.edit_place, "odd", place=place, changes=row["card"])

    def _read(self, place: str, now: float, highest: float, lowest: float) -> None:
        spot = self.stocking.places[(place,)]
        values = {"celsius": now, "highest_c": highest, "lowest_c": lowest}
        self.agenda.do(care.record_reading, "odd", place=spot, **values)

    def _attach(self, row: dict[str, Any]) -> None:
        """The logger's file, its dates moved to this season, looked at and kept as on the screens."""
        spot, now = self.stocking.places[(row["place"],)], self.agenda.moment(row["day"], "12:00")
        sha256 = loggers.put_aside([self._moved(row)], now=now)
        asked = loggers_read.Asked(
            place=spot, sha256=sha256, zone="UTC+1", name=row["name"], probe="Temperature"
        )
        looked = loggers_read.look(asked, now)
        log = loggers.written(asked, looked, remembered(looked.shape))
        self.agenda.do(loggers.keep_log, "odd", log=log)
        loggers.settle(log)

    def _moved(self, row: dict[str, Any]) -> bytes:
        text = FILE.with_name(row["file"]).read_text("utf-8")
        shift = self.agenda.day(row["from"]) - date(*row["written"])

        def later(match: re.Match[str]) -> str:
            day, month, year = map(int, match.groups())
            return f"{date(year, month, day) + shift:%d.%m.%Y}"

        return re.sub(r"(\d\d)\.(\d\d)\.(\d{4})", later, text).encode()

    def _inspect(self, row: dict[str, Any]) -> None:
        piece = self.stocking.equipment[row["of"]]
        self.agenda.do(
            equipment.plan_inspection,
            "ragna",
            equipment=piece,
            what=row["what"],
            who=row["who"],
            every_months=row["months"],
        )
        (due,) = read.inspections(piece)
        self.agenda.do(equipment.inspect_equipment, "ragna", inspection=due.id, passed=True, why=row["found"])
