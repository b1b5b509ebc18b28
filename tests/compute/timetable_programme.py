"""The timetable's question as an integer programme over time, for scipy.optimize.milp to answer.

For presses that hold one, watched throughout, and one shift from minute 0. Closing and opening of each
pair in each press and mould are 0 or 1 at each moment of a grid.
"""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from inventory.compute.reasons import Given
from inventory.compute.timetable import Workshop


class Programme:
    """Rows of the programme; columns are closings, then openings, by key and moment."""

    def __init__(self, asked: Workshop, grid: int) -> None:
        self.asked, self.grid = asked, grid
        (self.shift,) = asked.shifts
        self.moments = range(self.shift.to_min // grid)
        self.keys = [
            (pair, row, mould.name)
            for pair, pressing in enumerate(asked.pressings)
            for row in range(len(asked.presses))
            for mould in asked.moulds
            if mould.name in pressing.moulds
        ]
        self.size = len(self.keys) * len(self.moments)
        self.rows: list[np.ndarray] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def fits(self) -> bool:
        self.each_pair_once()
        self.opened_after_its_run()
        self.taken_once()
        self.people_enough()
        solved = milp(
            np.zeros(2 * self.size),
            constraints=LinearConstraint(np.array(self.rows), self.low, self.high),
            integrality=np.ones(2 * self.size),
            bounds=Bounds(0, 1),
        )
        return bool(solved.success)

    def bound(self, terms: dict[int, int], least: float, most: float) -> None:
        line = np.zeros(2 * self.size)
        for column, value in terms.items():
            line[column] = value
        self.rows.append(line)
        self.low.append(least)
        self.high.append(most)

    def steps(self, given: Given[int]) -> int:
        return given.value // self.grid

    def press(self, key: int):
        return self.asked.presses[self.keys[key][1]]

    def closed(self, key: int, moments: range, value: int = 1) -> dict[int, int]:
        return {key * len(self.moments) + at: value for at in moments}

    def opened(self, key: int, moments: range, value: int = 1) -> dict[int, int]:
        return {self.size + key * len(self.moments) + at: value for at in moments}

    def each_pair_once(self) -> None:
        for pair in range(len(self.asked.pressings)):
            terms: dict[int, int] = {}
            for key, (whose, _, _) in enumerate(self.keys):
                if whose == pair:
                    terms |= self.closed(key, self.moments)
            self.bound(terms, 1, 1)

    def opened_after_its_run(self) -> None:
        for key in range(len(self.keys)):
            press, end = self.press(key), len(self.moments)
            phases = (press.closing_min, press.heat_up_min, press.hold_min, press.cool_min)
            run = sum(map(self.steps, phases))
            self.bound(self.closed(key, self.moments) | self.opened(key, self.moments, -1), 0, 0)
            self.bound(self.opened(key, range(end - self.steps(press.opening_min) + 1, end)), 0, 0)
            for at in self.moments:
                early = self.closed(key, range(at - run + 1), -1)
                self.bound(self.opened(key, range(at + 1)) | early, -np.inf, 0)

    def taken_once(self) -> None:
        counts = {mould.name: mould.count for mould in self.asked.moulds}
        for column, most in ((1, dict.fromkeys(range(len(self.asked.presses)), 1)), (2, counts)):
            for thing, count in most.items():
                members = [key for key, names in enumerate(self.keys) if names[column] == thing]
                for at in self.moments:
                    terms: dict[int, int] = {}
                    for key in members:
                        opening = self.steps(self.press(key).opening_min)
                        terms |= self.closed(key, range(at + 1))
                        terms |= self.opened(key, range(at - opening + 1), -1)
                    self.bound(terms, -np.inf, count)

    def people_enough(self) -> None:
        for at in self.moments:
            terms: dict[int, int] = {}
            for key in range(len(self.keys)):
                press = self.press(key)
                closing = range(max(0, at - self.steps(press.closing_min) + 1), at + 1)
                opening = range(max(0, at - self.steps(press.opening_min) + 1), at + 1)
                terms |= self.closed(key, closing, press.closing_hands)
                terms |= self.opened(key, opening, press.opening_hands)
            self.bound(terms, -np.inf, self.shift.hands)
