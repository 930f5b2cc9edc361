"""The user's own kit: does it cover the trip, by what margins, how far from the lightest, what to swap first."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.answers.gap import backup_gap, need_gap, served_whole, usable_firewood
from solver.answers.kit import Settled
from solver.answers.limit_gap import life_gap
from solver.forms.barring import bars
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap
from solver.forms.limit import GIVING_WAY, MEMBERS, Limit
from solver.forms.quantity import GRAMS_PER_KG, as_told
from solver.forms.trip import Trip
from solver.model.case import FIXED, NEVER, Case, mass_of
from solver.model.day_work import NO_WORK, Workload, usable, workload
from solver.needs.job import KNIFE
from solver.needs.need import first_parts
from solver.needs.question import Question
from solver.programs.engine import Status
from solver.search.choice import Choice
from solver.search.swap import Swap, first_swap


@dataclass(frozen=True)
class _Checked:
    """The kit as it is: settled on what it can do, its gaps, and the first swap."""

    settled: Settled
    covered: bool
    swap: Swap | None
    swap_settled: bool  # whether it is proven, or that there is none


def checked_kit(trip: Trip, question: Question, own: Question, ids: Sequence[str], *, effort: Effort) -> _Checked:
    """Return how a kit serves a trip.

    Args:
        trip: the trip as asked.
        question: the trip's question with every tool let go (`unbarred`).
        own: the same with only the tools of the kit to choose from.
        ids: the tools of the kit.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out before the kit's own day was known.
    """
    kit = own.case.kit(ids)
    done, wear_gap = worked_by(own, ids, effort=effort.grace())
    home = bars(question.tools, trip)
    gaps = done.gaps + _rule_gaps(own, kit, home) + wear_gap + _limit_gaps(own.case, kit, done.load)
    try:
        mine = question.case.kit(ids)
        swap = first_swap(question.case, mine, frozenset(home), covered=not gaps, effort=effort)
    except Unfinished:
        return _Checked(replace(done, gaps=gaps), not gaps, None, swap_settled=False)
    return _Checked(replace(done, gaps=gaps), not gaps, swap, swap_settled=True)


def worked_by(question: Question, ids: Sequence[str], *, effort: Effort) -> tuple[Settled, list[Gap]]:
    """Return what a kit does of a trip's work whatever the time, with a gap for each need it can't; and of its wear.

    What rules and limits say of the kit is left out.

    Args:
        question: the trip's question; the tools of the kit may go.
        ids: the tools of the kit.
        effort: what each solve may cost.
    """
    case = question.case
    kit = case.kit(ids)
    rest, met, gaps = _done_by(question, kit)
    load, wear_gap = _loaded(rest, usable(case, kit), effort)
    choice = Choice(
        status=Status.OPTIMAL,
        ids=tuple(sorted(ids)),
        mass=mass_of(case, kit),
        value=mass_of(case, kit),
        bound=None,
        considered=case.tools,
        set_aside=0,
        solves=0,
    )
    return Settled(rest, met, choice, load, gaps), wear_gap


def _done_by(question: Question, kit: frozenset[int]) -> tuple[Case, list[int], list[Gap]]:
    """Return the case of the jobs that a kit can do, their indices, and a gap for each need it can't."""
    case = question.case
    alone = _kit_case(case, usable(case, kit))
    served = np.asarray((alone.work < NEVER).any(axis=1))
    needs = question.needs
    gaps = [_kit_gap(question, n, kit) for n in first_parts(needs, ~served)]
    backing = alone.able[:, : alone.tools].sum(axis=1)
    kept = served_whole(needs, served)
    short = first_parts(needs, kept & (backing < case.backup))
    gaps += [backup_gap(needs[n], int(backing[n]), own=True) for n in short]
    rest = case.changed(backup=np.zeros_like(case.backup), must=frozenset())
    if case.firewood is not None:
        usable_classes = [bool(served[case.wood_class == c].all()) for c in range(len(question.classes))]
        firewood = usable_firewood(case.firewood, usable_classes)
        had = 0 if firewood is None else firewood.demand_g
        if had < case.firewood.demand_g:
            gaps.append(_wood_gap(case.firewood.demand_g / GRAMS_PER_KG, had / GRAMS_PER_KG))
        rest = replace(rest, firewood=firewood)
        kept &= np.array(
            [c == FIXED or (firewood is not None and usable_classes[c]) for c in case.wood_class], dtype=bool
        )
    jobs = np.flatnonzero(kept)
    return rest.only_jobs(jobs), [int(job) for job in jobs], gaps


def _kit_case(case: Case, kit: frozenset[int]) -> Case:
    """Return the case with only the tools of a kit; methods without their companions can't work."""
    alone = case.changed(must=frozenset()).keep(np.array(sorted(kit), dtype=np.int64))
    shut = [group.dependent for group in alone.groups if not group.members.any()]
    work = alone.work.copy()
    work[:, shut] = NEVER
    return replace(alone, work=work, slower=alone.slower.chosen(~np.isin(alone.slower.worker, shut)))


def _kit_gap(question: Question, n: int, kit: frozenset[int]) -> Gap:
    """Return the gap of a need that no tool of the kit can do, with the closest of them."""
    need, workers = question.needs[n], question.workers
    if need.job.task == KNIFE:
        return backup_gap(need, 0, own=True)
    here = [*sorted(kit), *range(workers.carried, len(workers.rows))]
    return need_gap(need.id, need.job, workers, (), among=here)


def _wood_gap(demand: float, had: float) -> Gap:
    """Return the gap of firewood that the kit can't make or that is not there."""
    text = f"The fire needs {demand:.1f} kg of wood a day. This kit makes {had:.1f} kg of the wood within reach."
    return Gap(
        kind="reach",
        need="firewood",
        field="reach_kg_per_day",
        short_by=round(demand - had, 6),
        unit="kg",
        closest=None,
        text=text,
    )


def _loaded(case: Case, kit: frozenset[int], effort: Effort) -> tuple[Workload, list[Gap]]:
    """Return the day's work of the kit, and a gap where its tools wear out before it is done."""
    load = workload(case, kit, effort=effort)
    if load is not None:
        return load, []
    unworn = workload(case.unworn(), kit, effort=effort) or NO_WORK
    text = "The tools of this kit wear out before the work is done. The minutes are for tools that do not wear."
    return unworn, [life_gap(case, kit, unworn, text)]


def _rule_gaps(question: Question, kit: frozenset[int], home: dict[str, str]) -> list[Gap]:
    """Return a gap for each tool that a rule keeps home, that must go and does not, or that lacks a companion."""
    case, trip = question.case, question.trip
    names = {case.ids[tool] for tool in kit}
    gaps = [
        _rule_gap(name, home[name], f"{name} is in the kit, but {home[name]} excludes it.")
        for name in sorted(names)
        if name in home
    ]
    gaps += [
        _rule_gap(name, "must_carry", f"{name} is in must_carry, but not in the kit.")
        for name in dict.fromkeys(trip.must_carry)
        if name not in names
    ]
    idle = sorted(case.ids[tool] for tool in kit - usable(case, kit))
    return gaps + [_rule_gap(name, "needs", f"{name} needs a companion tool that is not in the kit.") for name in idle]


def _rule_gap(name: str, field: str, text: str) -> Gap:
    """Return the gap of a rule about one tool."""
    return Gap(kind="limit", need=None, field=field, short_by=1.0, unit="tool", closest=name, text=text)


def _limit_gaps(case: Case, kit: frozenset[int], load: Workload) -> list[Gap]:
    """Return a gap for each limit that the kit goes over."""
    gaps = []
    for limit in GIVING_WAY:
        cap = case.caps.get(limit.field)
        if cap is None:
            continue
        value = limit.quantity.measure(case, kit, load)
        if value <= cap:
            continue
        told, most = case.told(limit, value), case.told_limit(limit)
        gaps.append(_over_gap(limit, told, most))
    return gaps


def _over_gap(limit: Limit, told: float, most: float) -> Gap:
    """Return the gap of a limit that the kit goes over, with what it comes to."""
    readable = limit.readable(told)
    does = limit.does.format(readable)
    text = f"The kit {does}: {as_told(readable - most)} more than the limit of {limit.told(most)}."
    if limit is MEMBERS:
        text = f"The kit {does}."
    short_by = round(told - most, 6)
    return Gap(kind="limit", need=None, field=limit.field, short_by=short_by, unit=limit.unit, closest=None, text=text)
