"""Every kit of a small trip with its figures, one by one: what the further questions are judged by.

Built on wood_oracle.py: all subsets of the tools, a linear program for the day of each.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Any

from dealings import lack_cg
from oracle import (
    CUTTING_TASKS,
    HUNDREDTHS,
    MS_PER_MIN,
    Row,
    counts_as_knife,
    is_allowed,
    knives_asked,
    packed_cg,
    score,
    usable_tools,
)
from wood_oracle import TRACE_KG, Kits

Ids = tuple[str, ...]


@dataclass(frozen=True)
class Known:
    """A kit that does the work: ids, packed 0.01 g, price in hundredths, day [ms], without rest and with it."""

    ids: Ids
    mass_cg: int
    cents: int
    ms: float
    told_ms: float


def subsets(ids: Sequence[str]) -> Iterator[Ids]:
    """All subsets, the smallest first."""
    for size in range(len(ids) + 1):
        yield from combinations(sorted(ids), size)


def cents_of(tools: Sequence[Row]) -> int:
    """Sum of prices, unknown ones counting nothing."""
    return sum(round((tool.get("price") or 0) * HUNDREDTHS) for tool in tools)


def cuts(tool: Row) -> bool:
    """Whether a tool has any score: a sharpener has none."""
    return any(score(tool, task) > 0 for task in CUTTING_TASKS)


class Space:
    """All kits of a trip."""

    def __init__(self, trip: Row) -> None:
        self.trip = trip
        self.kits = Kits(trip)
        self.rows = {tool["id"]: tool for tool in trip["tools"]}

    @property
    def has_gaps(self) -> bool:
        """Whether some need or part of the firewood is beyond every kit, or a tool that must go can't."""
        usable = {tool["id"] for tool in self.kits.wood.tools}
        short = self.kits.kg < self.kits.wood.demand_kg - TRACE_KG
        return bool(self.kits.unmet) or short or not set(self.trip.get("must_carry", [])) <= usable

    def known(self, ids: Ids, ms: float) -> Known:
        """A kit with its figures."""
        tools = [self.rows[name] for name in ids]
        return Known(ids, sum(map(packed_cg, tools)), cents_of(tools), ms, self.kits.told_ms(ms))

    @cached_property
    def working(self) -> list[Known]:
        """Kits that keep every rule, the work limit aside; of the needs that can be met at all."""
        days = ((ids, self.kits.day(ids)) for _, ids in self.kits.allowed)
        return [self.known(ids, day.ms) for ids, day in days if day is not None]

    @cached_property
    def within(self) -> list[Known]:
        """Those that keep the work limit too."""
        return [one for one in self.working if one.ms <= self.kits.cap_ms]

    @cached_property
    def covering(self) -> dict[Ids, Known]:
        """Kits that cover the trip: none where it has gaps."""
        return {} if self.has_gaps else {one.ids: one for one in self.within}

    @property
    def lightest_cg(self) -> int | None:
        """Mass of the lightest kit that covers the trip."""
        return min((one.mass_cg for one in self.covering.values()), default=None)


def without_bars(trip: Row) -> Row:
    """The trip with every tool let go."""
    limits = {
        name: limit
        for name, limit in trip.get("limits", {}).items()
        if name not in ("banned_kinds", "edge_mm", "packed_mm")
    }
    return {name: value for name, value in trip.items() if name not in ("leave_home", "only")} | {"limits": limits}


class OwnKit:
    """One kit by itself: a trip whose only tools are those of the kit."""

    def __init__(self, trip: Row, ids: Sequence[str]) -> None:
        self.trip, self.ids = trip, tuple(sorted(ids))
        self.tools = [tool for tool in trip["tools"] if tool["id"] in ids]
        self.mass_cg = sum(map(packed_cg, self.tools))
        self.cents = cents_of(self.tools)
        self.alone = Kits(without_bars(trip) | {"tools": self.tools, "known": trip["tools"]})
        self.can_work: Ids = tuple(sorted(tool["id"] for tool in self.alone.wood.tools))

    @cached_property
    def ms(self) -> float | None:
        """The day of what the kit can do; None where it wears out."""
        day = self.alone.day(self.can_work)
        return None if day is None else day.ms

    @cached_property
    def day_ms(self) -> float:
        """The day, of tools that don't wear where these do."""
        if self.ms is not None:
            return self.ms
        unworn = Kits(self.alone.trip | {"life": False}).day(self.can_work)
        assert unworn is not None
        return unworn.ms

    @property
    def short_kg(self) -> float:
        """Firewood that the kit can't make."""
        short = self.alone.wood.demand_kg - self.alone.kg
        return short if short > TRACE_KG else 0.0

    @property
    def knives_short(self) -> int:
        """Knives that the trip asks for, as some may go, and the kit does not have."""
        asked = knives_asked(self.trip) if any(counts_as_knife(t, self.trip) for t in usable_tools(self.trip)) else 0
        here = sum(counts_as_knife(tool, self.trip) for tool in self.alone.wood.tools)
        return max(0, asked - here)

    @property
    def barred(self) -> list[str]:
        """Tools of the kit that a rule keeps home."""
        return [tool["id"] for tool in self.tools if not is_allowed(tool, self.trip)]

    @property
    def left_behind(self) -> list[str]:
        """Tools that must go and are not in the kit."""
        return [name for name in dict.fromkeys(self.trip.get("must_carry", [])) if name not in self.ids]

    @property
    def idle(self) -> list[str]:
        """Tools of the kit whose companions are not in it."""
        return [name for name in self.ids if name not in self.can_work]

    @property
    def overrun(self) -> dict[str, float]:
        """Limits that the kit goes over, each with how far: min, g, price, tools."""
        limits: Row = self.trip.get("limits", {})
        over = {
            "mass_g": self.mass_cg / HUNDREDTHS - limits.get("mass_g", math.inf),
            "price": self.cents / HUNDREDTHS - limits.get("price", math.inf),
            "tools_at_most": len(self.ids) - limits.get("tools_at_most", math.inf),
        }
        over["members"] = lack_cg(self.tools, self.trip) / HUNDREDTHS
        found = {name: by for name, by in over.items() if by > 1 / HUNDREDTHS / 2}
        if self.day_ms > self.alone.cap_ms:
            told = self.alone.told_ms
            found["work_min_per_day"] = (told(self.day_ms) - told(self.alone.cap_ms)) / MS_PER_MIN
        return found

    @property
    def covers(self) -> bool:
        """Whether nothing is amiss."""
        wrong: list[Any] = [
            self.alone.unmet,
            self.knives_short,
            self.short_kg,
            self.barred,
            self.left_behind,
            self.idle,
            self.overrun,
        ]
        return self.ms is not None and not any(wrong)
