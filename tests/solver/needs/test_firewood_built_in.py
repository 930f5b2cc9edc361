"""Trips with the built-in tools against a textbook program: every tool its own column, nothing set aside.

Too many tools for subsets; scipy.optimize.milp takes grams first, then minutes at those grams.
"""

import math
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np
import pytest
from oracle import (
    HUNDREDTHS,
    MS_PER_MIN,
    Row,
    counts_as_knife,
    knives_asked,
    need_groups,
    packed_cg,
    serves,
    told_ms,
    work_cap_ms,
)
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array
from wood_work import PARTS, Wood, ids_in, renews, spare_share

from api.examples.invented import example_trips
from catalog import tools
from solver import Trip, plan

pytestmark = pytest.mark.quick

MINUTES = 2e-3
# Species, state, air, people, nights, limit, diameters.
PLACES: dict[str, Row] = {
    "wet maple valley": {
        "people": 4, "nights": 12, "air_c": 3, "fire": {"hot_water_l_per_person": 3, "warmth_h": 2, "drying_h": 1},
        "wood": {"species": "red-maple", "state": "dead-wet", "diameters_mm": [60, 90, 130]},
        "camp_work": [{"id": "ridge-pole", "per_trip": 2}, {"id": "feather-stick", "per_day": 2}],
        "limits": {"work_min_per_day": 150},
    },
    "green birch, frozen": {
        "people": 2, "nights": 9, "air_c": -20, "fire": {"hot_water_l_per_person": 3, "melt_snow": True, "warmth_h": 2},
        "wood": {"species": "paper-birch", "state": "green", "diameters_mm": [70, 120]},
        "limits": {"work_min_per_day": 240},
    },
    "a month of dry pine": {
        "people": 6, "nights": 30, "air_c": -5, "fire": {"hot_water_l_per_person": 3, "warmth_h": 4},
        "wood": {"diameters_mm": [120, 180]}, "limits": {"work_min_per_day": 110},
    },
    "knots and beginners": {
        "people": 3, "nights": 6, "skill": "novice", "fire": {"hot_water_l_per_person": 2, "warmth_h": 1},
        "wood": {"species": "ponderosa-pine", "state": "dead-wet", "knotty": True},
        "tasks": [{"task": "buck", "diameter_mm": 70, "per_day": 3, "critical": True}], "backup": "critical",
        "limits": {"work_min_per_day": 200},
    },
    "thick oak only, no methods": {
        "people": 5, "nights": 14, "air_c": -10, "fire": {"hot_water_l_per_person": 2, "warmth_h": 3},
        "wood": {"species": "northern-red-oak", "diameters": [{"mm": 150, "reach_kg_per_day": 60}]},
        "field_methods": False, "limits": {"work_min_per_day": 25},
    },
}  # fmt: skip
TRIPS = example_trips() | PLACES


@cache
def rows() -> tuple[Row, ...]:
    """The built-in tools as plain rows."""
    return tuple(tool.model_dump() for tool in tools())


class Textbook:
    """One binary a tool, one amount a job, worker and way, kilograms a class."""

    def __init__(self, trip: Row) -> None:
        self.wood = wood = Wood(trip | {"tools": list(rows())})
        self.trip, self.tools, self.t = trip, wood.tools, len(wood.tools)
        self.place = {tool["id"]: n for n, tool in enumerate(wood.tools)}
        every = enumerate(wood.doings)
        self.amounts = [(j, w, one) for j, doings in every for w, ways in doings.items() for one in ways]
        self.kg = self.t + len(self.amounts)
        self.width = self.kg + len(wood.klasses)
        self.low: list[float] = []
        self.high: list[float] = []
        self.terms: list[dict[int, float]] = []
        self.grams = np.zeros(self.width)
        self.grams[: self.t] = [packed_cg(tool) / HUNDREDTHS for tool in self.tools]
        times = [one.ms for _, _, one in self.amounts] + [wood_class.gather_ms for wood_class in wood.klasses]
        self.minutes = np.concatenate([np.zeros(self.t), np.array(times, dtype=float) / MS_PER_MIN])
        self._jobs()
        self._companions()
        self._wear()
        self._knife()
        self.people = trip.get("people", 1)
        limit = work_cap_ms(trip.get("limits", {}).get("work_min_per_day", 90), self.people) / MS_PER_MIN
        self.add({n: m for n, m in enumerate(self.minutes) if m}, 0, limit)

    def add(self, terms: dict[int, float], low: float, high: float) -> None:
        """One more row."""
        self.terms.append(terms)
        self.low.append(low)
        self.high.append(high)

    def cap(self, j: int) -> float:
        """Most of a job: all of it, or the kilograms of its class."""
        wood_class = self.wood.jobs[j].wood_class
        return 1.0 if wood_class is None else min(self.wood.klasses[wood_class].reach_kg, self.wood.demand_kg)

    def _jobs(self) -> None:
        for j, job in enumerate(self.wood.jobs):
            mine = {self.t + n: 1.0 for n, (one, _, _) in enumerate(self.amounts) if one == j}
            if job.wood_class is None:
                self.add(mine, 1, 1)
            else:
                self.add(mine | {self.kg + job.wood_class: -1.0}, 0, 0)
            carried = {self.place[w]: 1.0 for w in self.wood.doings[j] if w in self.place}
            if job.backup:
                self.add(carried, job.backup, math.inf)
        for n, (j, worker, _) in enumerate(self.amounts):
            for doers in self._doers(worker):
                self.add({self.t + n: 1.0} | {tool: -self.cap(j) for tool in doers}, -math.inf, 0)
        if self.wood.klasses:
            columns = range(self.kg, self.width)
            self.add(dict.fromkeys(columns, 1.0), self.wood.demand_kg, math.inf)

    def _doers(self, worker: str) -> list[list[int]]:
        if worker in self.place:
            return [[self.place[worker]]]
        (method,) = [row for row in self.wood.methods if row["id"] == worker]
        return [self._serving(group) for group in need_groups(method)]

    def _serving(self, group: Sequence[str]) -> list[int]:
        return [n for n, tool in enumerate(self.tools) if any(serves(member, tool) for member in group)]

    def _companions(self) -> None:
        for n, tool in enumerate(self.tools):
            for group in need_groups(tool):
                if n not in self._serving(group):
                    self.add({n: 1.0} | dict.fromkeys(self._serving(group), -1.0), -math.inf, 0)

    def _wear(self) -> None:
        for n, tool, part in ((n, tool, part) for n, tool in enumerate(self.tools) for part in PARTS):
            worn = {
                self.t + k: one.wear
                for k, (_, worker, one) in enumerate(self.amounts)
                if worker == tool["id"] and one.part == part and one.wear
            }
            most = sum(wear * self.cap(self.amounts[k - self.t][0]) for k, wear in worn.items())
            row = worn | {n: -1.0}
            for name in ids_in(tool.get("sharpened_by")):
                if not renews(self.tools[self.place[name]], part):
                    continue
                share = spare_share(tool, self.tools[self.place[name]], part)
                row[self.place[name]] = -(most if share is None else share)
            if worn:
                self.add(row, -math.inf, 0)

    def _knife(self) -> None:
        asked = knives_asked(self.trip)
        assert asked <= 1, "a knife for each of several people wants columns of its own"
        knives = {n: 1.0 for n, tool in enumerate(self.tools) if counts_as_knife(tool, self.trip)}
        if asked and knives:
            self.add(knives, 1, math.inf)

    def least(self, cost: Any) -> Any:
        """The point of least cost."""
        matrix = lil_array((len(self.terms), self.width))
        for r, terms in enumerate(self.terms):
            for column, value in terms.items():
                matrix[r, column] = value
        high = np.full(self.width, np.inf)
        high[: self.t] = 1
        for c, wood_class in enumerate(self.wood.klasses):
            high[self.kg + c] = wood_class.reach_kg
        integrality = np.zeros(self.width)
        integrality[: self.t] = 1
        result = milp(
            cost,
            integrality=integrality,
            bounds=Bounds(0, high),
            constraints=LinearConstraint(matrix.tocsr(), self.low, self.high),
            options={"mip_rel_gap": 0},
        )
        assert result.success, result.message
        return result.x

    def optimum(self) -> tuple[float, float]:
        """Least grams, and least minutes at those grams."""
        grams = float(self.grams @ self.least(self.grams).round(3))
        self.add({n: g for n, g in enumerate(self.grams) if g}, 0, grams + 1 / (2 * HUNDREDTHS))
        work_ms = float(self.minutes @ self.least(self.minutes)) * MS_PER_MIN
        return grams, told_ms(work_ms, self.people) / MS_PER_MIN


@pytest.mark.parametrize("name", TRIPS)
def test_plan_agrees_with_the_textbook_program(name: str) -> None:
    """Grams to the hundredth, minutes to the thousandth, among all built-in tools."""
    answer = plan(Trip.model_validate({"detail": "kit"} | TRIPS[name]))
    grams, minutes = Textbook(TRIPS[name]).optimum()
    assert answer.status == "optimal"
    assert answer.kit.mass_g == pytest.approx(grams, abs=0.005)
    assert answer.kit.work_min_per_day == pytest.approx(minutes, abs=MINUTES)


def test_the_trips_want_kits_of_many_sizes() -> None:
    """Agreement on empty kits and single knives would show little."""
    kits = [plan(Trip.model_validate({"detail": "kit"} | trip)).kit for trip in PLACES.values()]
    assert max(kit.mass_g for kit in kits) > 1000
    assert sum(len(kit.tools) >= 3 for kit in kits) >= 2
