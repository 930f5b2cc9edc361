"""A kit's days while its figures change: the time left of each, against the exact program of that day by itself."""

from dataclasses import replace
from functools import partial
from random import Random

import numpy as np
import pytest
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from catalog.tables.number import Ints
from solver import Effort, Trip
from solver.model.case import NEVER, Case
from solver.model.day_work import usable
from solver.model.slower_ways import SlowerWays
from solver.needs.question import question_of
from solver.siblings.changed_days import ChangedDays, ChangedTables, room_for

pytestmark = pytest.mark.quick

CHANGES = 24


def changed_tables(rng: Random, case: Case) -> ChangedTables:
    """The tables of a case with one tool slower, or wearing faster, or unable at a job, each time anew."""
    work, able, wear, part = (
        each[None].repeat(CHANGES, axis=0) for each in (case.work, case.able, case.wear, case.part)
    )
    slower = []
    for change in range(CHANGES):
        tool, longer, faster = rng.randrange(case.tools), rng.choice((1.0, 1.001, 1.3, 4.0)), rng.choice((1, 5, 25))

        def timed(figures: Ints, longer: float = longer) -> Ints:
            return np.where(figures < NEVER, np.rint(figures * longer).astype(np.int64), NEVER)

        work[change, :, tool], wear[change, :, tool] = timed(case.work[:, tool]), faster * case.wear[:, tool]
        mine = case.slower.worker == tool
        times, worn = np.where(mine, timed(case.slower.work), case.slower.work), case.slower.wear * (1 + mine)
        slower.append(replace(case.slower, work=times, wear=worn))
        if rng.random() < 1 / 4:
            job = rng.randrange(len(case.work))
            work[change, job, tool], able[change, job, tool] = NEVER, False
            slower[-1] = slower[-1].chosen((slower[-1].worker != tool) | (slower[-1].job != job))

    def slower_of(change: int) -> SlowerWays:
        return slower[change]

    return ChangedTables(work, able, wear, part, slower_of if len(case.slower) else None)


def test_days_leave_what_each_by_itself_leaves_and_few_need_a_program_of_their_own() -> None:
    """The invented trips for longer, and random ones: kits of any tools, with limits that bind and without."""
    rng = Random(41)
    forms = [*example_trips().values(), *(random_wood_trip(rng, fewest=3, most=7) for _ in range(160))]
    forms = [form | {"nights": min(365, 8 * form.get("nights", 1))} for form in forms]
    seen = {"kept": 0, "late": 0, "neither": 0, "worn": 0, "slower": 0, "alone": 0}
    for form in forms:
        case = question_of(Trip.model_validate(form | {"aim": "mass"})).case
        kit = usable(case, frozenset(rng.sample(range(case.tools), min(case.tools, 3))))
        if not kit or not case.work.size:
            continue
        case = case.keep(np.array(sorted(kit), dtype=np.int64))
        case = case.changed(
            must=frozenset(), caps={name: cap for name, cap in case.caps.items() if name == "work_min_per_day"}
        )
        every = frozenset(range(case.tools))
        now = room_for(case, every, effort=Effort())
        if now is None:
            continue
        if case.work_cap is not None and np.isfinite(now):
            case = case.capped("work_min_per_day", case.work_cap - int(now) + rng.choice((0, 10_000, 10_000_000)))
        solved: list[None] = []
        days, tables = ChangedDays(case, Effort(on_solve=partial(solved.append, None))), changed_tables(rng, case)
        rooms = days.rooms(tables, case, None)
        for change, room in enumerate(rooms):
            alone: list[None] = []
            told = room_for(tables.case(change, case), every, effort=Effort(on_solve=partial(alone.append, None)))
            assert room == told, (form, sorted(kit), change)
            seen["neither" if room is None else "kept" if room >= 0 else "late"] += 1
            seen["worn"] += bool(alone)
            seen["slower"] += bool(alone) and tables.slower is not None
        seen["alone"] += len(solved)
    assert min(seen[name] for name in ("kept", "late", "neither", "slower")) > 50, seen
    assert seen["alone"] < seen["worn"] / 5, seen
