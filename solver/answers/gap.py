"""What no allowed kit gives: needs without an able tool, and limits that leave no kit."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

import numpy as np

from catalog import Tool
from catalog.tables.number import Bools
from catalog.wood.bending import breaks
from solver.forms.answer import Gap
from solver.forms.limit import MEMBERS
from solver.forms.quantity import DAY_DIGITS, GRAMS_PER_KG, as_told
from solver.forms.trip import Trip
from solver.model.case import FIXED, LIFE, NEVER, TEETH, Case, Firewood
from solver.model.copies import original_of
from solver.model.day_work import Workload, life_of, lives_taken
from solver.model.stranded import without_stranded
from solver.needs.ability import Workers
from solver.needs.candidates import WHERE_DRY
from solver.needs.case_builder import ANSWER_DIGITS
from solver.needs.job import KNIFE, Job
from solver.needs.need import Need, first_parts, whole_needs
from solver.needs.question import Question
from solver.needs.sawing import PAIR
from solver.needs.wood_class import WoodClass
from solver.search.relaxation import WORN_OUT, Relaxation

_TEN = 10  # the score of the reference tool, by the definition of a score
_MOST_WORN = 5  # judged: tools that are named in one sentence


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
    return replace(case, must=frozenset(tool for tool in case.must if case.ids[tool] in reachable))


def _reachable_ids(case: Case) -> tuple[str, ...]:
    """Return the tools whose companion groups can be served."""
    return without_stranded(replace(case, must=frozenset())).ids


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
    open_case = without_stranded(replace(case, must=frozenset()) if case.must else case)
    served: Bools = np.asarray((open_case.work < NEVER).any(axis=1))
    backing = open_case.able[:, : open_case.tools].sum(axis=1)
    kept = served_whole(needs, served)
    short: Bools = np.asarray(kept & (backing < case.backup))
    gaps = [need_gap(needs[n].id, needs[n].job, workers, barred) for n in first_parts(needs, ~served)]
    gaps += [backup_gap(needs[n], int(backing[n])) for n in first_parts(needs, short)]
    if short.any():
        case = replace(case, backup=np.where(short, 0, case.backup))
    if case.firewood is not None:
        usable = [bool(served[case.wood_class == c].all()) for c in range(len(classes))]
        gaps += _firewood_gaps(case, classes, usable, served, workers, barred)
        case = replace(case, firewood=usable_firewood(case.firewood, usable))
        kept &= np.array([c == FIXED or usable[c] for c in case.wood_class], dtype=bool)
        if case.firewood is None:
            kept &= case.wood_class == FIXED
    jobs = np.flatnonzero(kept)
    return case.only_jobs(jobs), [int(job) for job in jobs], gaps


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
    counts = "A fixed, a long or a folding knife" if job.min_score <= WHERE_DRY else "A fixed or a long knife"
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
    """Return which tools could do the need if the trip's own rules let them go."""
    able = [f"{tool.id} ({rule})" for tool, rule in barred if _could(tool, need)]
    return f" Your rules keep home: {', '.join(able[:5])}." if able else ""


def _could(tool: Tool, need: Job) -> bool:
    """Tell whether a tool has the score and the diameter for a need."""
    return any(
        getattr(tool, f"{mode}_score", 0.0) >= max(need.min_score, 1e-9)  # any score above 0
        and tool.largest_mm(mode) >= need.diameter_mm
        for mode in need.loads
    )


def limit_gaps(reliefs: Sequence[Relaxation], before: Sequence[Gap]) -> list[Gap]:
    """Return a gap for each limit that has to give way.

    Args:
        reliefs: the limits that give way together.
        before: the gaps that there are whatever the limits.
    """
    others = [_given_up(gap) for gap in before]
    return [
        _limit_gap(one, [*others, *(_gives_way(other) for other in reliefs if other is not one)]) for one in reliefs
    ]


def _limit_gap(relief: Relaxation, others: Sequence[str]) -> Gap:
    """Return the gap of a limit that leaves no kit.

    Args:
        relief: the limit.
        others: what else gives way, in words.
    """
    if relief.limit is None:
        return Gap(kind="limit", need=None, field="life", short_by=None, unit="life", closest=None, text=WORN_OUT)
    field, limit, needed = relief.limit.field, relief.told_before, relief.told_needed
    least = "the least that works" if relief.proven else "the least value found within the allowed effort"
    kept = f"{_listed(others)}. All other rules are kept." if others else "with all other rules kept."
    text = f"No kit keeps {field} {as_told(limit)}: {least} is {as_told(needed)}, {kept}"
    if relief.limit is MEMBERS:
        more = f"{least} is {as_told(needed)} g more for each"
        text = f"No kit can be shared out within what members carry: {more}, {kept}"
    short_by = round(needed - limit, ANSWER_DIGITS)
    return Gap(kind="limit", need=None, field=field, short_by=short_by, unit=relief.limit.unit, closest=None, text=text)


def life_gap(case: Case, kit: frozenset[int], load: Workload, text: str) -> Gap:
    """Return the gap of tools that wear out before the work is done, with the one of a kit that lacks most lives.

    Args:
        case: the case, in which tools wear.
        kit: the kit that is told.
        load: its day's work, told as if nothing wore.
        text: what is told of them all.
    """
    taken = lives_taken(case, load)
    short = {worn: lives - life_of(case, kit, *worn) for worn, lives in taken.items()}
    worst = sorted((worn for worn, lacking in short.items() if lacking > 0), key=lambda worn: (-short[worn], worn))
    told = [
        f"{as_told(_lives(taken[tool, part]))} lives of the {'teeth' if part == TEETH else 'edge'} of "
        f"{original_of(case.ids[tool])}, which has {as_told(_lives(life_of(case, kit, tool, part)))}"
        for tool, part in worst[:_MOST_WORN]
    ]
    return Gap(
        kind="limit",
        need=None,
        field="life",
        short_by=_lives(short[worst[0]]) if worst else None,
        unit="life",
        closest=original_of(case.ids[worst[0][0]]) if worst else None,
        text=f"{text} The work would take {_listed(told)}." if told else text,
    )


def _lives(millionths: Fraction | float) -> float:
    """Return millionths of a life as lives, rounded up to the digits that words have."""
    parts = 10**DAY_DIGITS
    return float(Fraction(ceil(millionths * parts / LIFE), parts))


def _gives_way(relief: Relaxation) -> str:
    """Return to what a limit gives way, in words."""
    if relief.limit is None:
        return "without wear"
    if relief.limit is MEMBERS:
        return f"with {as_told(relief.told_needed)} g more for each member"
    return f"with {relief.limit.field} {as_told(relief.told_needed)}"


def _given_up(gap: Gap) -> str:
    """Return what a gap that no limit makes leaves out, in words."""
    if gap.kind == "limit":
        return f"without {gap.field} {gap.closest}"
    if gap.kind == "reach":
        return "with less firewood"
    return f"without backup for {gap.need}" if gap.field == "backup" else f"without {gap.need}"


def _listed(words: Sequence[str]) -> str:
    """Return words as a list in a sentence."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def no_robust_gap(multiple: float) -> Gap:
    """Return the gap of a safety that no kit gives."""
    text = f"No kit works after the loss of any one tool, even with {multiple:g} times the work limit. "
    text += "This kit ignores that rule."
    return Gap(kind="limit", need=None, field="robust", short_by=None, unit="kit", closest=None, text=text)
