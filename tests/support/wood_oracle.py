"""Reference answer for small trips with firewood: every subset of the tools, a linear program for each day.

Written from the stated rules, as oracle.py is for stated tasks; shares nothing with the program it judges.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Any, Literal

import numpy as np
from dealings import lack_cg
from oracle import (
    HUNDREDTHS,
    MS_PER_MIN,
    Row,
    any_serves,
    counts_as_knife,
    knives_asked,
    more_knives,
    need_groups,
    packed_cg,
    people_at_work,
    work_cap_ms,
)
from scipy.optimize import linprog
from wood_work import PARTS, Job, Wood

from catalog import assumed

DEFAULT_WORK_MIN = 90
MILLION = 1_000_000
TRACE_KG = 1e-9
TRACE = 1e-5  # of a ms or of a millionth of a kcal, which floats can be off by
# How far the arithmetic can be trusted (0.01 g, kcal, ms): a day of a linear program is rounded up.
ROUNDED = 1e-4  # kcal, more than rounding each tool's share makes of a kit's order by mass
UNSURE = {"mass": 0.0, "effort": 1.1e-6, "work_time": 0.0}
Aim = Literal["mass", "effort", "work_time"]


@dataclass(frozen=True)
class Day:
    """The day's work of one kit."""

    ms: int
    kcal: float


@dataclass(frozen=True)
class Ranked:
    """A kit that does the day's work: packed 0.01 g, what it scores at the first aim, its day, its ids."""

    mass_cg: int
    first: float
    day: Day
    ids: tuple[str, ...]


@dataclass(frozen=True)
class Verdict:
    """The best kit, with those that can't be told from it; without any, by how much the fastest is too slow with rest.

    Besides: needs that no one can do or back up, wood that is not in reach, and whether wood in reach can't
    be worked.
    """

    status: str
    kits: list[Ranked]
    told_ms: Callable[[float], float]
    unmet: list[str]
    reach_short_kg: float
    unworkable: bool
    over_ms: float | None
    kcal_per_cg: float


class Kits:
    """All kits of a trip that keep its rules, with the day's work of each by linear program."""

    def __init__(self, trip: Row) -> None:
        self.trip, self.wood = trip, Wood(trip)
        wood_ = self.wood
        served = [bool(doings) for doings in wood_.doings]
        self.usable = [
            all(s for s, job in zip(served, wood_.jobs, strict=True) if job.wood_class == c)
            for c in range(len(wood_.klasses))
        ]
        reach = [k.reach_kg if ok else 0.0 for k, ok in zip(wood_.klasses, self.usable, strict=True)]
        self.kg = min(wood_.demand_kg, sum(reach))
        self.reach = reach if self.kg > 0 else [0.0] * len(reach)
        fixed = [j for j, job in enumerate(wood_.jobs) if job.wood_class is None]
        unserved = {wood_.jobs[j].id for j in fixed if not served[j]}  # of a need in parts every part must be served
        self.kept = [j for j, job in enumerate(wood_.jobs) if self._counts(job) and job.id not in unserved]
        self.unbacked = [j for j in fixed if served[j] and self._able(j, wood_.tools) < wood_.jobs[j].backup]
        gapped = (wood_.jobs[j].id for j in fixed if not served[j] or j in self.unbacked)
        self.unmet = list(dict.fromkeys(gapped))
        self.knives = knives_asked(trip)
        self.needs_knife = self.knives > 0 and any(counts_as_knife(tool, trip) for tool in wood_.tools)
        limits = trip.get("limits", {})
        self.free_ms = assumed("rest_free_min") * MS_PER_MIN * people_at_work(trip)
        self.cap_ms = work_cap_ms(limits.get("work_min_per_day", DEFAULT_WORK_MIN), people_at_work(trip))
        self._days: dict[tuple[str, ...], Day | None] = {}
        self._cheap: dict[tuple[str, ...], Day | None] = {}

    def told_ms(self, ms: float) -> float:
        """A day's work with its rest."""
        return ms + assumed("rest_share") * max(0.0, ms - self.free_ms)

    def _counts(self, job: Job) -> bool:
        return job.wood_class is None or (self.kg > 0 and self.usable[job.wood_class])

    def _able(self, j: int, carried: Sequence[Row]) -> int:
        return sum(tool["id"] in self.wood.able[j] for tool in carried)

    def carried(self, ids: Sequence[str]) -> list[Row]:
        """The rows of a kit."""
        return [tool for tool in self.wood.tools if tool["id"] in ids]

    @cached_property
    def allowed(self) -> list[tuple[int, tuple[str, ...]]]:
        """Kits that keep every rule but those of work and wear, lightest first: packed 0.01 g and ids."""
        ids = [tool["id"] for tool in self.wood.tools]
        subsets = (ids_ for size in range(len(ids) + 1) for ids_ in combinations(ids, size))
        kits = ((self.carried(subset), more) for subset in subsets for more in self._more(subset))
        found = [
            (sum(map(packed_cg, [*carried, *more])), tuple(sorted(tool["id"] for tool in [*carried, *more])))
            for carried, more in kits
            if self._keeps(carried, more)
        ]
        return sorted(found)

    def _more(self, subset: tuple[str, ...]) -> list[tuple[Row, ...]]:
        """The further knives that a kit may carry of those it has, so that its party has as many as it asks for."""
        carried = self.carried(subset)
        return more_knives(carried, self.trip, self.knives) if self.needs_knife else [()]

    def _keeps(self, carried: Sequence[Row], more: Sequence[Row]) -> bool:
        limits, ids = self.trip.get("limits", {}), {tool["id"] for tool in carried}
        price = sum(round((tool.get("price") or 0) * HUNDREDTHS) for tool in [*carried, *more])
        mass_g, money = limits.get("mass_g", math.inf), limits.get("price", math.inf)
        return (
            sum(map(packed_cg, [*carried, *more])) <= mass_g * HUNDREDTHS
            and price <= money * HUNDREDTHS
            and len(carried) + len(more) <= limits.get("tools_at_most", math.inf)
            and ids >= set(self.trip.get("must_carry", []))
            and not lack_cg([*carried, *more], self.trip)
            and all(any_serves(group, carried) for tool in carried for group in need_groups(tool))
            and all(
                self._able(j, carried) >= self.wood.jobs[j].backup
                for j in self.kept
                if self.wood.jobs[j].wood_class is None and j not in self.unbacked
            )
        )

    def day(self, ids: tuple[str, ...]) -> Day | None:
        """The fastest day of a kit, None where it can't do the work or wears out."""
        if ids not in self._days:
            self._days[ids] = DayProgram(self, self.carried(ids)).fastest()
        return self._days[ids]

    def cheap_day(self, ids: tuple[str, ...]) -> Day | None:
        """The day of least energy of a kit within the work limit."""
        if ids not in self._cheap:
            self._cheap[ids] = DayProgram(self, self.carried(ids)).cheapest(self.cap_ms)
        return self._cheap[ids]

    def within_day(self, ids: tuple[str, ...]) -> Day | None:
        """The fastest day of a kit, if it is within the work limit."""
        day = self.day(ids)
        return day if day is not None and day.ms <= self.cap_ms else None

    def carrying_kcal(self, ids: Sequence[str]) -> float:
        """What carrying a kit costs; of each tool whole millionths of a kcal count."""
        each = [round(packed_cg(tool) * self.wood.kcal_per_cg * MILLION) for tool in self.carried(ids)]
        return sum(each) / MILLION

    def fastest_ms(self) -> float | None:
        """Least time of any allowed kit, the work limit aside."""
        return min((day.ms for _, ids in self.allowed if (day := self.day(ids))), default=None)

    def lightest_ms(self) -> float | None:
        """Time of the lightest kit that can do the work, the work limit aside."""
        return next((day.ms for _, ids in self.allowed if (day := self.day(ids))), None)

    def ranked(self, aim: Aim) -> Iterator["Ranked"]:
        """Kits that do the day's work within its limit, without those that are sure to be worse."""
        best = math.inf
        for mass, ids in self.allowed:
            grams = {"mass": float(mass), "effort": self.carrying_kcal(ids), "work_time": 0.0}[aim]
            if grams > best + ROUNDED:
                return
            day = self.cheap_day(ids) if aim == "effort" else self.within_day(ids)
            if day is not None:
                first = {"mass": float(mass), "effort": grams + day.kcal, "work_time": day.ms}[aim]
                best = min(best, first)
                yield Ranked(mass, first, day, ids)


class DayProgram:
    """The linear program of one kit's day: amounts by job, worker and way, kilograms by class."""

    def __init__(self, kits: Kits, carried: Sequence[Row]) -> None:
        self.kits, wood_ = kits, kits.wood
        ready = [m for m in wood_.methods if all(any_serves(g, carried) for g in need_groups(m))]
        here = [row["id"] for row in [*carried, *ready]]
        self.columns = [(j, w, one) for j in kits.kept for w in here for one in wood_.doings[j].get(w, [])]
        self.classes = [c for c, ok in enumerate(kits.usable) if ok and kits.kg > 0]
        doings, klasses = [one for _, _, one in self.columns], [wood_.klasses[c] for c in self.classes]
        self.ms = np.array([d.ms for d in doings] + [k.gather_ms for k in klasses], dtype=float)
        self.kcal = np.array([d.kcal for d in doings] + [k.gather_kcal for k in klasses], dtype=float)
        self.bounds = [(0.0, None)] * len(doings) + [(0.0, kits.reach[c]) for c in self.classes]
        self.equal = [self._shared_out(j) for j in kits.kept]
        self.at_most = [self._wear(tool, carried, part) for tool in carried for part in PARTS]
        self.at_most = [row for row in self.at_most if row[0].any() and row[1] < math.inf]
        if self.classes:
            self.at_most.append((-self._ones(lambda n: n >= len(self.columns)), -kits.kg))
        self.idle = any(not row.any() for row, _ in self.equal)

    def _ones(self, wanted: Any) -> Any:
        return np.array([1.0 if wanted(n) else 0.0 for n in range(len(self.ms))])

    def _shared_out(self, j: int) -> tuple[Any, float]:
        row = self._ones(lambda n: n < len(self.columns) and self.columns[n][0] == j)
        wood_class = self.kits.wood.jobs[j].wood_class
        if wood_class is None:
            return row, 1.0
        row[len(self.columns) + self.classes.index(wood_class)] = -1.0
        return row, 0.0

    def _wear(self, tool: Row, carried: Sequence[Row], part: str) -> tuple[Any, float]:
        row = np.zeros(len(self.ms))
        for n, (_, worker, doing) in enumerate(self.columns):
            row[n] = doing.wear if worker == tool["id"] and doing.part == part else 0.0
        return row, self.kits.wood.lasting(tool, carried, part)

    def _solve(self, cost: Any, extra: Sequence[tuple[Any, float]] = ()) -> Any:
        if self.idle:
            return None
        if not len(self.ms):
            return np.zeros(0)
        rows = [*self.at_most, *extra]
        result = linprog(
            cost,
            A_ub=np.array([row for row, _ in rows]) if rows else None,
            b_ub=[high for _, high in rows] if rows else None,
            A_eq=np.array([row for row, _ in self.equal]) if self.equal else None,
            b_eq=[value for _, value in self.equal] if self.equal else None,
            bounds=self.bounds,
            method="highs",
        )
        assert result.status in (0, 2), result.message
        return result.x if result.status == 0 else None

    def _day(self, amounts: Any) -> Day | None:
        if amounts is None:
            return None
        kcal = math.ceil(float(self.kcal @ amounts) * MILLION - TRACE) / MILLION
        return Day(math.ceil(float(self.ms @ amounts) - TRACE), kcal)

    def fastest(self) -> Day | None:
        """Least time."""
        return self._day(self._solve(self.ms))

    def cheapest(self, cap_ms: float) -> Day | None:
        """Least energy within a time."""
        return self._day(self._solve(self.kcal, [(self.ms, cap_ms)]))


def best_kits(trip: Row) -> Verdict:
    """The answer to a trip with inline tools, by looking at every kit."""
    kits = Kits(trip)
    aim: Aim = trip.get("aim", "mass")
    within = sum(wood_class.reach_kg for wood_class in kits.wood.klasses)
    short = max(0.0, kits.wood.demand_kg - within)
    unworkable = kits.kg < min(kits.wood.demand_kg, within) - TRACE_KG
    gapped = bool(kits.unmet) or short > TRACE_KG or unworkable
    found = narrowed(list(kits.ranked(aim)), aim)
    fastest = None if found else kits.fastest_ms()
    return Verdict(
        status="uncovered" if gapped or not found else "optimal",
        kits=found,
        told_ms=kits.told_ms,
        unmet=kits.unmet,
        reach_short_kg=short,
        unworkable=unworkable,
        over_ms=None if fastest is None else kits.told_ms(fastest) - kits.told_ms(kits.cap_ms),
        kcal_per_cg=kits.wood.kcal_per_cg,
    )


def narrowed(ranked: list[Ranked], aim: Aim) -> list[Ranked]:
    """The best kit, or the few that can't be told apart within what the arithmetic leaves unsure."""
    steps: list[tuple[Aim, Callable[[Ranked], Any]]] = [
        (aim, lambda one: one.first),
        ("mass", lambda one: one.mass_cg),
        ("work_time", lambda one: one.day.ms),
        ("mass", lambda one: len(one.ids)),
    ]
    for measure, value in steps:
        least = min(map(value, ranked), default=0)
        sure = [one for one in ranked if value(one) <= least]
        ranked = [one for one in ranked if value(one) <= least + UNSURE[measure]]
        if len(sure) < len(ranked):
            return ranked
    return sorted(ranked, key=lambda one: one.ids)[:1]
