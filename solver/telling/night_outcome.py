"""What a kit does on a trip on which something went wrong: what gets done, what does not and why, in what time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from solver.answers.check import worked_by
from solver.answers.gap import need_gap, pair_text
from solver.answers.kit import Settled
from solver.forms.effort import Effort
from solver.forms.kit_answer import Gap
from solver.forms.limit import WORK
from solver.forms.quantity import GRAMS_PER_KG
from solver.forms.question_answers import NightAnswer, Shortfall
from solver.model.case import FIXED, NEVER, Case, present_workers
from solver.model.copies import is_copy
from solver.model.day_work import life_of, lives_taken, usable, workload
from solver.needs.candidates import WHERE_DRY, knife_scores
from solver.needs.job import KNIFE, Job
from solver.needs.question import Question
from solver.telling.mishap_text import knife_text, outcome_text, time_text, wear_text
from solver.telling.solution_view import SolutionView

_Why = Literal["size", "score", "tool", "companion", "backup", "knife", "reach", "wear", "time"]
_WHY: dict[str, _Why] = {
    "diameter_mm": "size",
    "min_score": "score",
    "needs": "companion",
    "backup": "backup",
    "reach_kg_per_day": "reach",
    KNIFE: "knife",
}


@dataclass(frozen=True)
class Night:
    """A kit on a trip: the view of what it does, and that in figures and words."""

    view: SolutionView
    outcome: NightAnswer


def night_of(question: Question, ids: Sequence[str], *, effort: Effort, after_loss: bool = False) -> Night:
    """Return what a kit does on a trip, by its work alone: rules and limits on packing are left to the check.

    Args:
        question: the trip's question; the tools of the kit may go.
        ids: the tools of the kit.
        effort: what each solve may cost.
        after_loss: whether a tool is lost already, so that no backup and no knife in the pack is due any more.

    Raises:
        Unfinished: the effort ran out.
    """
    settled, worn = worked_by(question, ids, effort=effort)
    at_rest = {need.id for need in question.needs if need.at_rest}
    spared = [gap for gap in settled.gaps if after_loss and (gap.field == "backup" or gap.need in at_rest)]
    gaps = [gap for gap in settled.gaps if gap not in spared]
    missing = [_shortfall(question, ids, gap) for gap in gaps]
    if worn:
        missing.append(Shortfall(need=None, why="wear", text=_wear_of(question, settled, effort=effort)))
    cap, work, limit_min = question.case.work_cap, settled.load.work, question.trip.limits.work_min_per_day
    work_min = question.case.told(WORK, work)
    if cap is not None and work > cap:
        missing.append(Shortfall(need=None, why="time", text=time_text(work_min, limit_min)))
    view = SolutionView(question, settled)
    outcome = NightAnswer(
        status=_status_of(missing),
        work_min_per_day=work_min,
        met=[one for one in dict.fromkeys(_met(view)) if all(one != lack.need for lack in missing)],
        missing=missing,
        text=outcome_text(missing, work_min=work_min, limit_min=limit_min),
    )
    return Night(view, outcome)


def _status_of(missing: Sequence[Shortfall]) -> Literal["covered", "late", "cannot"]:
    """Return the status of a day with these shortfalls."""
    if not missing:
        return "covered"
    return "late" if all(one.why == "time" for one in missing) else "cannot"


def _met(view: SolutionView) -> Iterator[str]:
    """Yield the needs met, then the uses of the fire where all of its wood is made."""
    for _, need in view.needs_met():
        yield need.id
    wood = view.question.case.firewood
    if wood is None or GRAMS_PER_KG * sum(view.settled.load.kg.values()) >= wood.demand_g:
        yield from (use.id for use in view.question.uses)


def _shortfall(question: Question, ids: Sequence[str], gap: Gap) -> Shortfall:
    """Return a gap of a kit as what does not get done; of firewood that it can't work, with the work it can't do."""
    if gap.field == KNIFE:
        return Shortfall(need=gap.need, why="knife", text=_knife_lack(question, ids, gap))
    beyond = _unworked(question, ids) if gap.kind == "reach" else None
    if beyond is not None:
        job, gap_of_job = beyond
        among = sorted(question.case.kit(ids))
        verb = "cut" if job.task == "buck" else job.task
        text = f"{gap.text} Nothing in it can {verb} wood of {job.diameter_mm:g} mm."
        text += pair_text(job, question.workers, among)
        return Shortfall(need=gap.need, why=_why(gap_of_job), text=text)
    return Shortfall(need=gap.need, why=_why(gap), text=gap.text)


def _knife_lack(question: Question, ids: Sequence[str], gap: Gap) -> str:
    """Return in words which knife is missing, and which of the kit's does not count."""
    need = next(need for need in question.needs if need.id == gap.need)
    wanted, hard = max(1, need.backup), need.job.min_score > WHERE_DRY
    carried = [question.workers.rows[tool] for tool in sorted(question.case.kit(ids))]
    knives = [row for row in carried if row.kind in knife_scores() and not is_copy(row.id)]
    idle = [row.title for row in knives if hard and knife_scores()[row.kind] <= WHERE_DRY]
    return knife_text(have=wanted - round(gap.short_by or wanted), wanted=wanted, hard=hard, idle=idle)


def _why(gap: Gap) -> _Why:
    """Return in a word why a need is not met."""
    return "tool" if gap.kind == "need" and gap.closest is None and gap.field == "min_score" else _WHY[gap.field]


def _unworked(question: Question, ids: Sequence[str]) -> tuple[Job, Gap] | None:
    """Return the first job on firewood within reach that a kit can't do, with its gap; None where it can do all."""
    case, workers = question.case, question.workers
    kit = usable(case, case.kit(ids))
    has = present_workers(case, kit)
    here = [*sorted(kit), *range(workers.carried, len(workers.rows))]
    for n, (job, wood_class) in enumerate(zip(question.jobs, case.wood_class.tolist(), strict=True)):
        within = wood_class != FIXED and question.classes[wood_class].reach_kg > 0
        if within and not (case.work[n][has] < NEVER).any():
            return job, need_gap("firewood", job, workers, (), among=here)
    return None


def _wear_of(question: Question, settled: Settled, *, effort: Effort) -> str:
    """Return how long the edges of a kit last that do not last the trip, and which of them would wear out first."""
    case, nights = settled.case, question.trip.nights
    kit = usable(case, case.kit(settled.choice.ids or ()))
    spent = lives_taken(case, settled.load)
    over = {tool for (tool, part), lives in spent.items() if lives > life_of(case, kit, tool, part)}
    worn = [question.workers.rows[tool] for tool in sorted(kit & over)]
    days, most = _days_lasting(case, kit, nights, effort=effort)
    return wear_text(worn, days=days, most=most, nights=nights)


def _days_lasting(case: Case, kit: frozenset[int], nights: int, *, effort: Effort) -> tuple[int, int]:
    """Return for how many days the edges of a kit last that do not last the trip: at least, and at most.

    The two are the same unless the time ends first.

    Raises:
        Cancelled: nobody waits for it.
    """
    low, high = 0, nights
    while high - low > 1 and not effort.spent():
        days = (low + high) // 2
        if workload(case.worn_by(days, nights), kit, effort=effort, shares=False) is None:
            high = days
        else:
            low = days
    return low, high - 1
