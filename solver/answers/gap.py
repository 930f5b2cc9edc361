"""What no allowed kit gives: needs without an able tool, and limits that leave no kit."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from catalog import Tool
from catalog.tables.number import Bools, Ints
from catalog.wood.bending import breaks
from solver.forms.kit_answer import Gap
from solver.forms.quantity import GRAMS_PER_KG
from solver.forms.trip import Trip
from solver.model.case import FIXED, NEVER, Case
from solver.model.firewood import Firewood
from solver.model.unusable import stranded_workers, without_stranded
from solver.needs.ability import Workers
from solver.needs.candidates import knife_words
from solver.needs.job import KNIFE, Job
from solver.needs.need import Need, first_parts, whole_needs
from solver.needs.question import Question
from solver.needs.sawing import PAIR
from solver.needs.wood_class import WoodClass

_TEN = 10  # the score of the reference tool, by the definition of a score


def missing_must(trip: Trip, barred: Sequence[tuple[Tool, str]], case: Case) -> list[Gap]:
    """Return a gap for every tool that must go but may not, or can't for want of a companion."""
    if not trip.must_carry:
        return []
    home = {tool.id: rule for tool, rule in barred}
    reachable = set(_reachable_ids(case))
    gaps = []
    for name in dict.fromkeys(trip.must_carry):
        rule = home.get(name)
        if rule is None and name in reachable:
            continue
        why = f"{rule} excludes it" if rule else "no allowed tool is in one of its companion groups"
        text = f"{name} is in must_carry, but {why}."
        gaps.append(
            Gap(
                kind="limit",
                need=None,
                field="must_carry",
                short_by=1.0,
                unit="tool",
                closest=name,
                text=text,
            )
        )
    return gaps


def let_off(case: Case) -> Case:
    """Return the case without the tools that must go and can't for want of a companion."""
    if not case.must:
        return case
    reachable = set(_reachable_ids(case))
    return case.changed(must=frozenset(tool for tool in case.must if case.ids[tool] in reachable))


def _reachable_ids(case: Case) -> tuple[str, ...]:
    """Return the tools whose companion groups can be served."""
    return without_stranded(case.changed(must=frozenset())).ids


def met_case(question: Question) -> Case:
    """Return the case of the jobs of a question that can be met at all."""
    return unmet(question, question.case)[0]


def unmet(question: Question, case: Case) -> tuple[Case, list[int], list[Gap]]:
    """Return the case of the jobs that can be met, their indices, and a gap for each need that can't.

    A need that someone can do but too few tools could back up keeps its place without the backup.
    Firewood is lowered to what can be had and worked.

    Args:
        question: the trip's question.
        case: its case, or one that differs in what must go.
    """
    needs, classes, workers, barred = question.needs, question.classes, question.workers, question.barred
    served, backing = _served(case)
    kept = served_whole(needs, served)
    short: Bools = np.asarray(kept & (backing < case.backup))
    gaps = [need_gap(needs[n].id, needs[n].job, workers, barred) for n in first_parts(needs, ~served)]
    gaps += [backup_gap(needs[n], int(backing[n])) for n in first_parts(needs, short)]
    if short.any():
        case = case.changed(backup=np.where(short, 0, case.backup))
    if case.firewood is not None:
        usable = _usable(case.firewood, case, served)
        gaps += _firewood_gaps(case, classes, usable, served, workers, barred)
        case, burnt = _with_usable_wood(case, usable)
        kept &= burnt
    jobs = np.flatnonzero(kept)
    return case.only_jobs(jobs), [int(job) for job in jobs], gaps


def covered_cases(cases: Sequence[Case]) -> list[Case | None]:
    """Return of each of some cases what `unmet` makes of it where nothing is lacking, else None.

    Args:
        cases: cases of the same tools and rules between tools.
    """
    whole = bool(cases) and not stranded_workers(cases[0])
    return [_covered(case, *_served(case, whole=whole)) for case in cases]


def _covered(case: Case, served: Bools, backing: Ints) -> Case | None:
    """Return what `unmet` makes of a case in which nothing is lacking, else None.

    Args:
        case: the case.
        served: which jobs someone can do.
        backing: how many tools are able at each.
    """
    if not served[case.wood_class == FIXED].all() or (served & (backing < case.backup)).any():
        return None
    if case.firewood is None:
        return case
    usable = _usable(case.firewood, case, served)
    if int(case.firewood.reach_g[usable].sum()) < case.firewood.demand_g:
        return None
    if all(usable):
        return case
    case, burnt = _with_usable_wood(case, usable)
    return case.only_jobs(np.flatnonzero(burnt))


def _served(case: Case, *, whole: bool = False) -> tuple[Bools, Ints]:
    """Return which jobs someone can do, and how many tools are able at each, of those that can go.

    Args:
        case: the case.
        whole: whether all can, as is known.
    """
    open_case = case if whole else without_stranded(case.changed(must=frozenset()) if case.must else case)
    served: Bools = np.asarray((open_case.work < NEVER).any(axis=1))
    return served, open_case.able[:, : open_case.tools].sum(axis=1)


def _usable(firewood: Firewood, case: Case, served: Bools) -> list[bool]:
    """Tell which classes of firewood can be worked."""
    return [bool(served[case.wood_class == c].all()) for c in range(len(firewood.reach_g))]


def _with_usable_wood(case: Case, usable: list[bool]) -> tuple[Case, Bools]:
    """Return a case with the firewood that can be had and worked, and its jobs without those of other wood."""
    assert case.firewood is not None
    case = case.changed(firewood=usable_firewood(case.firewood, usable))
    if case.firewood is None:
        return case, case.wood_class == FIXED
    return case, np.array([c == FIXED or usable[c] for c in case.wood_class], dtype=bool)


def served_whole(needs: Sequence[Need], served: Bools) -> Bools:
    """Return the jobs that are served, without those of a need that is not served in every part."""
    kept = served.copy()
    for places in whole_needs(needs):
        kept[places] = served[places].all()
    return kept


def usable_firewood(firewood: Firewood, usable: Sequence[bool]) -> Firewood | None:
    """Return the firewood that can be had and worked, or None where that is nothing."""
    reach = np.where(usable, firewood.reach_g, 0)
    demand = min(firewood.demand_g, int(reach.sum()))
    return replace(firewood, reach_g=reach, demand_g=demand) if demand > 0 else None


def _firewood_gaps(
    case: Case,
    classes: Sequence[WoodClass],
    usable: Sequence[bool],
    served: Bools,
    workers: Workers,
    barred: Sequence[tuple[Tool, str]],
) -> list[Gap]:
    """Return a gap where too little wood lies within reach, or where wood in reach can't be worked."""
    assert case.firewood is not None
    demand, within = case.firewood.demand_g, int(case.firewood.reach_g.sum())
    workable = int(case.firewood.reach_g[list(usable)].sum())
    gaps = []
    if within < demand:
        kg = demand / GRAMS_PER_KG, within / GRAMS_PER_KG
        text = "The fire needs {:.1f} kg of wood a day. {:.1f} kg are within reach.".format(*kg)
        gaps.append(
            Gap(
                kind="reach",
                need="firewood",
                field="reach_kg_per_day",
                short_by=(demand - within) / GRAMS_PER_KG,
                unit="kg",
                closest=None,
                text=text,
            )
        )
    if workable < min(demand, within):
        jobs = [(c, one) for c, wood_class in enumerate(classes) if not usable[c] for one in wood_class.jobs]
        unserved = [
            (classes[c], one)
            for (c, one), job in zip(
                jobs, [j for j, c in enumerate(case.wood_class) if c != FIXED and not usable[c]], strict=True
            )
            if not served[job]
        ]
        wood_class, job_left = unserved[0]
        gaps.append(need_gap(f"firewood-{wood_class.diameter_mm:g}", job_left, workers, barred))
    return gaps


def backup_gap(need: Need, able: int, *, own: bool = False) -> Gap:
    """Return the gap of a need that too few tools (of those that may go, or of one's own kit) could back up."""
    if need.job.task == KNIFE:
        short_by = max(1, need.backup) - able
        return _knife_gap(need.job, short_by, f"{able} of {able + short_by} in the kit")
    there = f"this kit has {able}" if own else f"{able} may go"
    text = f"{need.id}: backup asks for {need.backup} able carried tools, and {there}."
    return Gap(
        kind="need",
        need=need.id,
        field="backup",
        short_by=float(need.backup - able),
        unit="tool",
        closest=None,
        text=text,
    )


def need_gap(
    need_id: str,
    job: Job,
    workers: Workers,
    barred: Sequence[tuple[Tool, str]],
    among: Sequence[int] | None = None,
) -> Gap:
    """Return the gap of a job that no worker (of those given) can do, with the closest one and what it lacks."""
    if job.task == KNIFE:
        return _knife_gap(job, 1, "none in the kit")
    index, field, short_by = _closest(job, workers, among)
    unit = {"diameter_mm": "mm", "min_score": "score", "needs": "tool"}[field]
    name = None if index is None else workers.rows[index].id
    return Gap(
        kind="need",
        need=need_id,
        field=field,
        short_by=short_by,
        unit=unit,
        closest=name,
        text=_gap_text(need_id, job, field, short_by, name, own=among is not None)
        + pair_text(job, workers, among)
        + _barred_text(job, barred),
    )


def pair_text(job: Job, workers: Workers, among: Sequence[int] | None) -> str:
    """Return which tools (of those given) could do the job if two people could work."""
    if workers.sawing.people >= PAIR:
        return ""
    here = range(workers.carried) if among is None else [one for one in among if one < workers.carried]
    rows = [workers.rows[index] for index in here]
    able = [row.id for row in rows if not row.one_person and _could(row, job)]
    return f" One person can't use: {', '.join(able[:5])}." if able else ""


def _knife_gap(job: Job, short_by: int, text: str) -> Gap:
    """Return the gap of knives that are not there to stay in the pack."""
    counts = knife_words(least=job.min_score).capitalize()
    return Gap(
        kind="need",
        need=KNIFE,
        field=KNIFE,
        short_by=float(short_by),
        unit="tool",
        closest=None,
        text=f"knife: {text}. {counts} stays in the pack, unless the trip's field `knife` is none.",
    )


def _closest(need: Job, workers: Workers, among: Sequence[int] | None = None) -> tuple[int | None, str, float | None]:
    """Return the worker (of those given) nearest to a job, the field it misses by most, and by how much.

    What works only on the trip's own fire is no worker for anything else, and never the closest. Nor is breaking
    where it leaves too long wood.
    """
    best: tuple[float, int, float, float] | None = None
    for mode in need.loads:
        score, largest = workers.score[mode], workers.largest[mode]
        for index in map(int, np.flatnonzero(score > 0)):
            if getattr(workers.rows[index], "own_fire", False) or (among is not None and index not in among):
                continue
            if workers.rows[index].id in breaks() and largest[index] >= need.diameter_mm:
                continue  # it leaves the wood longer than this job may have it
            thin = max(0.0, need.diameter_mm - float(largest[index]))
            weak = max(0.0, need.min_score - float(score[index]))
            distance = thin / need.diameter_mm + weak / _TEN
            if best is None or distance < best[0]:
                best = (distance, index, thin, weak)
    if best is None:
        return None, "min_score", need.min_score or None
    distance, nearest, thin, weak = best
    if not distance:
        return nearest, "needs", 1.0
    if thin / need.diameter_mm >= weak / _TEN:
        return nearest, "diameter_mm", thin
    return nearest, "min_score", weak


def _gap_text(need_id: str, job: Job, field: str, short_by: float | None, name: str | None, *, own: bool) -> str:
    """Return the gap in words, of what may go or of one's own kit."""
    there, missing = ("in this kit", "are not in the kit") if own else ("that may go", "may not go")
    if name is None:
        return f"{need_id}: nothing {there} can {job.task} at all."
    if field == "needs":
        return f"{need_id}: {name} could do it, but its companions {missing}."
    short = short_by and (round(short_by, 1) or short_by)
    unit = " mm of diameter" if field == "diameter_mm" else " points of score"
    return f"{need_id}: the closest {there}, {name}, falls short by {short:g}{unit}."


def _barred_text(need: Job, barred: Sequence[tuple[Tool, str]]) -> str:
    """Return which tools could do the need if the trip's own rules let them go, the lightest first."""
    lightest_first = sorted(barred, key=lambda one: (one[0].packed_mass_g, one[0].id))
    able = [f"{tool.id} ({rule})" for tool, rule in lightest_first if _could(tool, need)]
    return f" Your rules keep home: {', '.join(able[:5])}." if able else ""


def _could(tool: Tool, need: Job) -> bool:
    """Tell whether a tool has the score and the diameter for a need."""
    return any(
        getattr(tool, f"{mode}_score", 0.0) >= max(need.min_score, 1e-9)  # any score above 0
        and tool.largest_mm(mode) >= need.diameter_mm
        for mode in need.loads
    )
