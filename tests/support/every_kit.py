"""Every kit that covers a small trip, from the slow references, and random trips that some kit covers.

What an answer says of alternatives, prices, pins or allowances is judged by looking through this list.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from random import Random

import numpy as np
from oracle import CUTTING_TASKS, DEFAULT_WORK_MIN, Board, Row, people_at_work, score, work_cap_ms
from random_trips import chance, pick_some, random_trip
from random_wood_trips import random_wood_trip
from wood_oracle import Kits
from wood_work import method_rows

TRIES = 400  # draws until a trip of the wanted sort turns up
BEYOND_BOARD = ("fire", "camp_work", "wood", "route", "skill", "members")  # what only the wood oracle knows


@dataclass(frozen=True, order=True)
class Kit:
    """A kit that covers a trip: packed 0.01 g, work [ms/day], number of tools, ids; in order of preference."""

    mass_cg: int
    ms: float
    count: int
    ids: tuple[str, ...]


def covering_kits(trip: Row) -> list[Kit]:
    """Every kit that keeps every rule of a trip, the lightest first; none where a need can't be met at all."""
    trip = with_extra_tools(trip)
    if any(trip.get(field) for field in BEYOND_BOARD):
        return wood_kits(trip)
    board = Board(trip, method_rows())
    if board.gaps or board.unbacked:
        return []
    limit_min = trip.get("limits", {}).get("work_min_per_day", DEFAULT_WORK_MIN)
    cap_ms = work_cap_ms(limit_min, people_at_work(trip))
    fits = np.flatnonzero(board.fits & (board.ms <= cap_ms))
    return sorted(
        Kit(int(board.mass_cg[mask]), int(board.ms[mask]), int(board.count[mask]), ids_of(board, int(mask)))
        for mask in fits
    )


def ids_of(board: Board, mask: int) -> tuple[str, ...]:
    """Ids of a subset of the usable tools, with the further knives of its party."""
    carried = [tool for bit, tool in enumerate(board.tools) if mask >> bit & 1]
    return tuple(sorted(tool["id"] for tool in [*carried, *board.more.get(mask, ())]))


def wood_kits(trip: Row) -> list[Kit]:
    """Every covering kit of a trip with firewood, camp work or wear."""
    kits = Kits(trip)
    reach_kg = sum(wood_class.reach_kg for wood_class in kits.wood.klasses)
    if kits.unmet or kits.kg < kits.wood.demand_kg - 1e-9 or reach_kg < kits.wood.demand_kg - 1e-9:
        return []
    days = ((mass, ids, kits.within_day(ids)) for mass, ids in kits.allowed)
    return sorted(Kit(mass, day.ms, len(ids), ids) for mass, ids, day in days if day is not None)


def with_extra_tools(trip: Row) -> Row:
    """The trip with its extra tools among its tools."""
    extra = {tool["id"]: tool for tool in trip.get("extra_tools", [])}
    if not extra:
        return trip
    return trip | {
        "tools": [t for t in trip["tools"] if t["id"] not in extra] + list(extra.values()),
        "extra_tools": [],
    }


def least_cg(trip: Row) -> int | None:
    """Mass of the lightest covering kit [0.01 g]; None where there is none."""
    kits = covering_kits(trip)
    return kits[0].mass_cg if kits else None


def is_least(trip: Row, ids: Iterable[str]) -> bool:
    """Whether a kit covers a trip, and none that does is lighter."""
    kits, wanted = covering_kits(trip), tuple(sorted(ids))
    return any(kit.ids == wanted and kit.mass_cg == kits[0].mass_cg for kit in kits)


def cutting(trip: Row, ids: Iterable[str]) -> frozenset[str]:
    """The tools of a kit that cut at all."""
    rows = {tool["id"]: tool for tool in trip["tools"]}
    return frozenset(name for name in ids if any(score(rows[name], task) > 0 for task in CUTTING_TASKS))


def with_tool(trip: Row, name: str, **changed: object) -> Row:
    """The trip with figures of one of its tools changed."""
    return trip | {"tools": [tool | changed if tool["id"] == name else tool for tool in trip["tools"]]}


def without_task(trip: Row, number: int) -> Row:
    """The trip without one of its stated tasks."""
    return trip | {"tasks": trip["tasks"][:number] + trip["tasks"][number + 1 :]}


def left_home(trip: Row, name: str) -> Row:
    """The trip with a tool at home, let off where it had to go."""
    must = [one for one in trip.get("must_carry", []) if one != name]
    return trip | {"must_carry": must, "leave_home": [*trip.get("leave_home", []), name]}


def covered_trip(rng: Random, *, most: int, wanted: Callable[[Row, list[Kit]], bool] = lambda *_: True) -> Row:
    """A random trip with stated tasks that some kit covers."""
    for _ in range(TRIES):
        trip = random_trip(rng, fewest=3, most=most, needs_most=4)
        if chance(rng, 10):
            trip["only"] = pick_some(rng, [tool["id"] for tool in trip["tools"]], most)
        kits = covering_kits(trip)
        if kits and wanted(trip, kits):
            return trip
    raise AssertionError(f"no such trip in {TRIES} draws")


def covered_wood_trip(rng: Random, *, most: int) -> Row:
    """A random trip with a fire, camp work and wear that some kit covers, the lightest wanted."""
    for _ in range(TRIES):
        trip = random_wood_trip(rng, fewest=3, most=most) | {"aim": "mass"}
        if covering_kits(trip):
            return trip
    raise AssertionError(f"no such trip in {TRIES} draws")
