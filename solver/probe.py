"""A kit held fixed while a figure changes: does it still keep every rule, and up to where?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from math import inf, isfinite

import numpy as np

from catalog import Method, Tool
from solver.ability import Workers, ability_of, workers_of
from solver.case import NEVER, Case, keeps_rules, slack_ms
from solver.crew import Crew
from solver.engine import Effort
from solver.framing import burning_of
from solver.job import MODES, Job
from solver.question import Question
from solver.workload import workload

Room = Callable[[float], float | None]

DIGITS = 4  # judged: digits after the point to which a breakpoint is found
STEP = 10.0**-DIGITS
TWENTY = 20  # judged: the part of the way looked at for a slope


def room_for(case: Case, kit: frozenset[int], *, effort: Effort) -> float | None:
    """Return the time that a kit leaves of the work limit [ms], without end where there is none.

    None where the kit breaks a rule; below 0 where only the work limit is broken.
    """
    if not keeps_rules(case, kit):
        return None
    load = workload(case, kit, effort=effort)
    if load is None:
        return None
    return inf if case.work_cap is None else case.work_cap + slack_ms(case.work_cap) - load.work


def holds_for(case: Case, kit: frozenset[int], *, effort: Effort) -> bool:
    """Tell whether a kit keeps every rule of a case."""
    room = room_for(case, kit, effort=effort)
    return room is not None and room >= 0


@dataclass(frozen=True)
class Probe:
    """The chosen kit alone: its case (with only its tools), its rows, and the jobs that are met."""

    question: Question
    case: Case
    rows: tuple[Tool, ...]
    jobs: tuple[Job, ...]
    effort: Effort

    def holds(self) -> bool:
        """Tell whether the kit keeps every rule of its case."""
        return holds_for(self.case, frozenset(range(self.case.tools)), effort=self.effort)

    def room(self, case: Case) -> float | None:
        """Return the time that the kit leaves in a case like its own; see `room_for`."""
        return room_for(case, frozenset(range(case.tools)), effort=self.effort)

    def with_tool(self, tool: int, way: str, **changed: float) -> float | None:
        """Return the room of the kit with figures of one tool changed that only this way of working reads."""
        row = self.rows[tool].model_copy(update=changed)
        touched = [j for j, job in enumerate(self.jobs) if way in MODES[job.task]]
        workers = workers_of(Crew([row], []), self.question.site)
        case = self.patched(workers, [self.jobs[j] for j in touched], [tool], touched)
        return self.room(self.rebound(case, tool, row) if 0.0 in changed.values() else case)

    def rebound(self, case: Case, tool: int, row: Tool) -> Case:
        """Return a case with companions and renewals anew: a tool without a score no longer serves can:TASK."""
        rows = [row if index == tool else one for index, one in enumerate(self.rows)]
        crew = Crew(rows, self.methods)
        return replace(case, groups=crew.groups, renewals=crew.renewals(upkeep=self.question.trip.upkeep))

    def with_job(self, index: int, job: Job) -> float | None:
        """Return the room of the kit with one job changed."""
        everyone = list(range(len(self.case.workers)))
        return self.room(self.patched(self.workers, [job], everyone, [index]))

    @cached_property
    def workers(self) -> Workers:
        """The workers of the kit as they are."""
        return workers_of(Crew(self.rows, self.methods), self.question.site)

    @property
    def methods(self) -> list[Method]:
        """The field methods of the trip."""
        workers = self.question.workers
        return [row for row in workers.rows[workers.carried :] if isinstance(row, Method)]

    def patched(self, workers: Workers, jobs: Sequence[Job], columns: list[int], rows: list[int]) -> Case:
        """Return the case with the abilities of some workers (columns) at some jobs (rows) computed anew."""
        question = self.question
        ability = ability_of(
            jobs, workers, nights=question.trip.nights, body_kg=question.body_kg, life=question.trip.life
        )
        where = np.ix_(rows, columns)
        work, able = self.case.work.copy(), self.case.able.copy()
        wear, kcal = self.case.wear.copy(), self.case.kcal.copy()
        work[where], able[where] = ability.work, ability.able
        wear[where], kcal[where] = ability.wear, ability.kcal
        shut = burning_of(workers)
        if shut:
            closed = np.ix_(rows, [columns[w] for w in shut])
            work[closed], able[closed] = NEVER, False
        return replace(self.case, work=work, able=able, wear=wear, kcal=kcal)


def probe_of(question: Question, case: Case, ids: Sequence[str], met: Sequence[int], effort: Effort) -> Probe:
    """Return the probe of a kit."""
    tools = np.array(sorted(case.kit(ids)), dtype=np.int64)
    rows = {row.id: row for row in question.workers.rows[: question.workers.carried]}
    kit = case.keep(tools)
    jobs = question.jobs
    return Probe(question, kit, tuple(rows[name] for name in kit.ids), tuple(jobs[job] for job in met), effort)


def farthest(room: Room, start: float, steps: Sequence[float], *, power: int = 1) -> float | None:
    """Return the value farthest from `start` at which a figure still holds; None where it holds to the end.

    Args:
        room: what is left at a value, holding where it is at least 0; once it fails it fails from there on.
        start: the figure as it is, which holds.
        steps: values away from start, in order, where it may stop at once; the last one is the end.
        power: the power of a value with which the room falls about evenly.
    """
    room = cache(room)
    low, high = -1, len(steps)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holding(room(steps[middle])) else (low, middle)
    if high == len(steps):
        return None
    return last_holding(room, start if low < 0 else steps[low], steps[high], power=power)


def holding(room: float | None) -> bool:
    """Tell whether a room says that the kit holds."""
    return room is not None and room >= 0


def last_holding(room: Room, good: float, bad: float, *, power: int) -> float:
    """Return the last value that holds between one that does and one that does not.

    On values of few digits, so that a breakpoint which is one of them is met exactly. Most figures fail right
    beyond a size that some tool has: so that is looked at first; then a twentieth further, and from there on the
    secant through the last two looks, as far as it stays between what holds and what does not. Every fourth look
    halves, for jumps and for ends that have no figure.
    """
    seen = [(good, room(good))]
    guess, looks = inside(good, good, bad), 0
    while min(good, bad) < guess < max(good, bad):
        found = room(guess)
        good, bad = (guess, bad) if holding(found) else (good, guess)
        looks += 1
        if looks == 1:
            guess = inside(good + (bad - good) / TWENTY, good, bad)
            continue
        seen.append((guess, found))
        near = secant(seen[-2], seen[-1], power) if looks % 4 else None
        guess = inside((good + bad) / 2 if near is None else near, good, bad)
    return good


def inside(value: float, one: float, other: float) -> float:
    """Return the value of few digits nearest to another that lies between two, not at them, if there is one."""
    return round(min(max(value, min(one, other) + STEP), max(one, other) - STEP), DIGITS)


def secant(one: tuple[float, float | None], other: tuple[float, float | None], power: int) -> float | None:
    """Return where the line of a power through two points meets 0, or None where there is no such value."""
    (a, at_a), (b, at_b) = one, other
    if at_a is None or at_b is None or not isfinite(at_a) or not isfinite(at_b) or at_a == at_b or min(a, b) <= 0:
        return None
    meets = a**power + (b**power - a**power) * at_a / (at_a - at_b)
    return float(meets ** (1 / power)) if meets > 0 else None
