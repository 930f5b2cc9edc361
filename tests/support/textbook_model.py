"""Textbook integer program of the kit problem for scipy.optimize.milp: no reduction, no levels.

One binary per tool, one share per able (tool, need); grams first, then minutes at that mass.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from oracle import MS_PER_MIN, Row, is_allowed, need_groups, packed_cg, parts, serves, tool_ms, work_cap_ms
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

HUNDREDTHS = 100


@dataclass(frozen=True)
class Optimum:
    """What the model found, recomputed in whole numbers from the picked tools."""

    ids: list[str]
    mass_cg: int
    ms: int


class Rows:
    """Sparse rows ``low <= a x <= high``, gathered one at a time."""

    def __init__(self) -> None:
        self.entries: list[tuple[int, int, float]] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, columns: Sequence[int], values: Sequence[float], low: float, high: float) -> None:
        """One more row."""
        self.entries += [(len(self.low), c, v) for c, v in zip(columns, values, strict=True)]
        self.low.append(low)
        self.high.append(high)

    def constraint(self, width: int) -> LinearConstraint:
        """All rows as one constraint over so many columns."""
        row, column, value = zip(*self.entries, strict=True)
        matrix = coo_array((value, (row, column)), shape=(len(self.low), width)).tocsr()
        return LinearConstraint(matrix, np.array(self.low), np.array(self.high))


class Textbook:
    """The model of one trip with inline tools, field methods off."""

    def __init__(self, trip: Row) -> None:
        self.trip = trip
        self.tools = [t for t in trip["tools"] if is_allowed(t, trip)]
        self.parts = [part for need in trip["tasks"] for part in parts(need)]
        self.grams = np.array([packed_cg(t) for t in self.tools]) / HUNDREDTHS
        self.shares = [
            (t, n, ms)
            for n, need in enumerate(self.parts)
            for t, tool in enumerate(self.tools)
            if (ms := tool_ms(tool, need)) is not None
        ]
        self.minutes = np.array([ms / MS_PER_MIN for _, _, ms in self.shares])
        self.width = len(self.tools) + len(self.shares)
        self.rows = Rows()
        self._cover()
        self._companions()
        self._limits()

    def _cover(self) -> None:
        first = len(self.tools)
        for n, need in enumerate(self.parts):
            mine = [(first + k, t) for k, (t, m, _) in enumerate(self.shares) if m == n]
            self.rows.add([y for y, _ in mine], [1] * len(mine), 1, 1)
            for y, t in mine:
                self.rows.add([y, t], [1, -1], -np.inf, 0)
            if self.trip.get("backup") == "critical" and need.get("critical"):
                self.rows.add([t for _, t in mine], [1] * len(mine), 2, np.inf)

    def _companions(self) -> None:
        for t, tool in enumerate(self.tools):
            for group in need_groups(tool):
                able = [c for c, other in enumerate(self.tools) if any(serves(m, other) for m in group)]
                if t not in able:
                    self.rows.add([t, *able], [1, *[-1] * len(able)], -np.inf, 0)

    def _limits(self) -> None:
        limits, every = self.trip.get("limits", {}), range(len(self.tools))
        if "work_min_per_day" in limits:
            work_min = work_cap_ms(limits["work_min_per_day"], self.trip.get("people", 1)) / MS_PER_MIN
            self.rows.add(range(len(self.tools), self.width), list(self.minutes), 0, work_min)
        if "price" in limits:
            self.rows.add(every, [t.get("price", 0) for t in self.tools], 0, limits["price"])
        for tool_id in self.trip.get("must_carry", []):
            self.rows.add([next(c for c in every if self.tools[c]["id"] == tool_id)], [1], 1, 1)

    def _solve(self, cost: Any) -> list[int]:
        integrality = np.zeros(self.width)
        integrality[: len(self.tools)] = 1
        result = milp(
            cost,
            integrality=integrality,
            bounds=Bounds(0, 1),
            constraints=self.rows.constraint(self.width),
            options={"mip_rel_gap": 0},
        )
        assert result.success, result.message
        return [int(t) for t in np.flatnonzero(result.x[: len(self.tools)] > 0.5)]

    def optimum(self) -> Optimum:
        """Least grams, then least minutes at those grams."""
        zeros_t, zeros_y = np.zeros(len(self.tools)), np.zeros(len(self.shares))
        grams = float(self.grams[self._solve(np.concatenate([self.grams, zeros_y]))].sum())
        self.rows.add(range(len(self.tools)), list(self.grams), 0, grams + 1 / (2 * HUNDREDTHS))
        return self._recomputed(self._solve(np.concatenate([zeros_t, self.minutes])))

    def _recomputed(self, picked: list[int]) -> Optimum:
        carried = [self.tools[t] for t in picked]
        times = [min(ms for tool in carried if (ms := tool_ms(tool, need)) is not None) for need in self.parts]
        return Optimum(sorted(t["id"] for t in carried), sum(packed_cg(t) for t in carried), sum(times))


def least_mass(mass_g: Any, able: Any, at_least: Any) -> float:
    """Least mass of columns such that each row has its number of able ones."""
    demand = LinearConstraint(able.astype(float), np.broadcast_to(at_least, len(able)), np.inf)
    result = milp(mass_g, integrality=1, bounds=Bounds(0, 1), constraints=demand, options={"mip_rel_gap": 0})
    assert result.success, result.message
    return float(mass_g[result.x > 0.5].sum())
