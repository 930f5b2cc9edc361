"""Stopwatch trials that could be made before a trip: which, and what each would say in every draw."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from catalog import Tool, Trial
from catalog.equipment.tool import TASKS
from catalog.maths.stratified import fresh_normal_draws
from catalog.tables.assumption import assumed, spread_rows
from catalog.tables.number import Floats, Number
from catalog.trials.trial import reference_minutes, wood_factor
from catalog.wood.species import REFERENCE_WOOD
from solver.draws.joint_draws import JointDraws
from solver.needs.question import Question

_WANTED_MIN = 10.0  # by definition: a trial of some ten minutes
_LONGEST_MIN = 30.0  # judged: one piece that takes longer is no trial of ten minutes
_MOST_PIECES = 40  # judged: nobody counts more cuts of twigs
_FULL = 10.0  # by the definition of a score
_CARVED = "carve"  # has no factor of the wood


@dataclass(frozen=True)
class PlannedTrial:
    """A trial that could be made.

    Attributes:
        tool: whose row it is.
        record: what would be written down, with the minutes that it takes at the medians.
    """

    tool: Tool
    record: Trial


def planned_trials(question: Question, ids: Iterable[str]) -> list[PlannedTrial]:
    """Return a trial of each of some tools at each task of the trip that it can do, in the trip's wood, unfrozen.

    The wood is as thick as the thickest of that task that the tool reaches through, and of as many pieces as take some
    ten minutes at the medians.

    Args:
        question: the trip's.
        ids: of tools, those of kits.
    """
    rows = {tool.id: tool for tool in question.workers.rows[: question.workers.carried]}
    going = [rows[name] for name in dict.fromkeys(ids) if name in rows]
    found = (_planned(question, tool, task) for tool in going for task in TASKS)
    return [one for one in found if one is not None]


def timed_minutes(trial: PlannedTrial, draws: JointDraws, *, spread: float | None = None) -> Floats:
    """Return what a trial takes in each draw, as a stopwatch would say [min], float[E].

    It goes by the formulas by which records are read, so that it tells rate, pace, species and score together, with the
    scatter of one record.

    Args:
        trial: the trial.
        draws: of the trip.
        spread: of the logarithm of one record, the assumption's where nothing is said; 0 = the clock tells all.
    """
    question, tool, record = draws.question, trial.tool, trial.record
    known = _Drawn(draws)
    place = question.workers.candidates.place[tool.id]
    score = getattr(tool, f"{record.task}_score") * draws.factor(record.task, place)
    name = f"{tool.id}.{record.task}_trial"
    error = fresh_normal_draws(name=name, count=len(draws), seed=draws.seed)
    scatter = assumed("record_spread") if spread is None else spread
    found: Floats = _minutes(question, tool, record, score, known) * np.exp(scatter * error)
    return found


class _Drawn(Mapping[str, Number]):
    """What figures are in each draw, those too that only a trial reads: what it does not tell of the trip blurs it."""

    def __init__(self, draws: JointDraws) -> None:
        """Take the draws."""
        self.draws, self.stated = draws, draws.known

    def __getitem__(self, name: str) -> Number:
        """Return a figure of a trip's own, or the draws of one that is drawn."""
        return self.stated[name] if name in self.stated or name not in spread_rows() else self.draws.figure(name)

    def __iter__(self) -> Iterator[str]:
        """Yield the names of the figures."""
        return iter({**self.stated, **spread_rows()})

    def __len__(self) -> int:
        """Return the number of figures."""
        return len({**self.stated, **spread_rows()})


def _planned(question: Question, tool: Tool, task: str) -> PlannedTrial | None:
    """Return the trial of a tool at a task, or None where there is none of ten minutes."""
    score = float(getattr(tool, f"{task}_score"))
    reach = float(getattr(tool, f"{task}_max_mm"))
    thick = [mm for mm in _diameters(question, task) if 0 < mm <= reach]
    if not score or not thick:
        return None
    wood = question.trip.wood
    one = Trial(
        tool=tool.id,
        task=task,  # type: ignore[arg-type]
        wood=wood.species,
        diameter_mm=max(thick),
        state=wood.state,
        count=1,
        minutes=1.0,
    )
    each = float(_minutes(question, tool, one, score, question.ledger.changed))
    if each > _LONGEST_MIN:
        return None
    count = min(max(1, round(_WANTED_MIN / each)), _MOST_PIECES)
    return PlannedTrial(tool, one.model_copy(update={"count": count, "minutes": count * each}))


def _diameters(question: Question, task: str) -> Iterator[float]:
    """Yield the thicknesses of the wood of a task on the trip; of wood that is split, of whole rounds."""
    for job in question.jobs:
        if task in job.loads and job.part != "pieces":
            yield job.diameter_mm


def _minutes(question: Question, tool: Tool, record: Trial, score: Number, known: Mapping[str, Number]) -> Number:
    """Return the minutes of a record's work, without scatter, where figures are known."""
    trip = question.trip
    reference = reference_minutes(record, largest_mm=tool.saw_max_mm or None, batoned=tool.batoned, changed=known)
    wood = wood_factor(record, changed=known)
    if record.task != _CARVED and record.wood != REFERENCE_WOOD:
        wood = wood * assumed(f"residual_{record.task}", known)
    skill = 1.0 if trip.skill == "practised" else assumed(f"skill_{trip.skill}", known)
    return _FULL * reference * wood / (score * assumed("pace", known) * skill)
