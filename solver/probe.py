"""A kit held fixed while a figure changes: does it still keep every rule, and up to where?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from catalog import Method, Tool
from solver.ability import Workers, ability_of, workers_from
from solver.case import NEVER, Case, keeps_rules, slack_ms
from solver.engine import Effort
from solver.framing import companions, renewals
from solver.job import Job
from solver.question import Question
from solver.workload import workload

DIGITS = 4  # judged: digits after the point to which a breakpoint is found


def holds_for(case: Case, kit: frozenset[int], *, effort: Effort) -> bool:
    """Tell whether a kit keeps every rule of a case."""
    if not keeps_rules(case, kit):
        return False
    load = workload(case, kit, effort=effort)
    return load is not None and (case.work_cap is None or load.work <= case.work_cap + slack_ms(case.work_cap))


@dataclass(frozen=True)
class Probe:
    """The chosen kit alone: its case (with only its tools), its rows, and the jobs that are met."""

    question: Question
    case: Case
    rows: tuple[Tool, ...]
    jobs: tuple[Job, ...]
    effort: Effort

    def holds(self, case: Case | None = None) -> bool:
        """Tell whether the kit keeps every rule of a case like its own."""
        case = self.case if case is None else case
        return holds_for(case, frozenset(range(case.tools)), effort=self.effort)

    def with_tool(self, tool: int, **changed: float) -> bool:
        """Tell whether the kit holds with figures of one tool changed."""
        row = self.rows[tool].model_copy(update=changed)
        case = self.patched(workers_from([row], [], self.question.site), self.jobs, [tool])
        return self.holds(self.rebound(case, tool, row) if 0.0 in changed.values() else case)

    def rebound(self, case: Case, tool: int, row: Tool) -> Case:
        """Return a case with companions and renewals anew: a tool without a score no longer serves can:TASK."""
        rows = [row if index == tool else one for index, one in enumerate(self.rows)]
        workers = workers_from(rows, self.methods, self.question.site)
        return replace(
            case,
            groups=tuple(companions(workers, case.place)),
            renewals=tuple(renewals(self.question.trip, workers, case.place)),
        )

    def with_job(self, index: int, job: Job) -> bool:
        """Tell whether the kit holds with one job changed."""
        everyone = list(range(len(self.case.workers)))
        return self.holds(self.patched(self.workers, [job], everyone, [index]))

    @cached_property
    def workers(self) -> Workers:
        """The workers of the kit as they are."""
        return workers_from(self.rows, self.methods, self.question.site)

    @property
    def methods(self) -> list[Method]:
        """The field methods of the trip."""
        workers = self.question.workers
        return [row for row in workers.rows[workers.carried :] if isinstance(row, Method)]

    def patched(self, workers: Workers, jobs: Sequence[Job], columns: list[int], rows: list[int] | None = None) -> Case:
        """Return the case with the abilities of some workers at some jobs computed anew."""
        question = self.question
        ability = ability_of(
            jobs, workers, nights=question.trip.nights, body_kg=question.body_kg, life=question.trip.life
        )
        where = np.ix_(range(len(self.jobs)) if rows is None else rows, columns)
        work, able = self.case.work.copy(), self.case.able.copy()
        wear, kcal = self.case.wear.copy(), self.case.kcal.copy()
        work[where], able[where] = ability.work, ability.able
        wear[where], kcal[where] = ability.wear, ability.kcal
        shut = [w for w, row in enumerate(workers.rows) if getattr(row, "own_fire", False)]
        if rows is not None and shut:
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


def farthest(holds: Callable[[float], bool], start: float, steps: Sequence[float]) -> float | None:
    """Return the value farthest from `start` at which a figure still holds; None where it holds to the end.

    The interval is halved on values of few digits, so that a breakpoint which is one of them is met exactly.

    Args:
        holds: true at start, and once false, false from there on.
        start: the figure as it is.
        steps: values away from start, in order, where it may stop at once; the last one is the end.
    """
    low, high = -1, len(steps)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(steps[middle]) else (low, middle)
    if high == len(steps):
        return None
    good, bad = (start if low < 0 else steps[low]), steps[high]
    while (between := round((good + bad) / 2, DIGITS)) not in (good, bad):
        good, bad = (between, bad) if holds(between) else (good, between)
    return good
