"""Which latent figures stand behind stopwatch records, and what each is taken to be before they count."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from statistics import NormalDist
from typing import Literal

import numpy as np

from catalog.equipment.tool import Tool
from catalog.equipment.toolset import judged_tools
from catalog.scores.built_in import scores_of
from catalog.scores.posterior import WeightedPart
from catalog.scores.score_spread import score_interval
from catalog.tables.assumption import assumed, assumptions
from catalog.tables.errors import RangeError
from catalog.tables.number import Ints
from catalog.trials.gauss_newton import LatentModel
from catalog.trials.trial import (
    Skill,
    Trial,
    TriedTask,
    handling_id,
    handling_minutes,
    reference_minutes,
    usual_pace,
    wood_factor,
)
from catalog.wood.cut import chop_rate_id
from catalog.wood.species import REFERENCE_WOOD

_RATES = {"saw": "saw_rate", "split": "cleave_rate", "carve": "carve_minutes"}
# figures of the work itself: they are the same whoever does it
OF_WORK = (*_RATES.values(), "chop_rate", "chop_rate_thin", "handling_cut", "handling_round")
PER_PIECE = "carve_minutes"  # minutes a piece; the other rates are work a minute
# derived: the ends of a 90 % interval leave 5 % on either side
_Z = NormalDist().inv_cdf(19 / 20)
_FULL = 10.0  # by the definition of a score
_DRY = "dead-dry"

_Role = Literal["rate", "wood", "hand", "person", "skill"]


@dataclass(frozen=True, slots=True)
class _SharedFigure:
    """A figure that several records share.

    Attributes:
        role: what it does to the minutes of a record.
        id: its assumption; of wood the residual of the task.
        of: who was timed, or species and state of the wood; empty for a figure of all records.
        median: taken before the records count, in the assumption's unit.
        low: lower end of the 90 % interval then.
        high: upper end.
    """

    role: _Role
    id: str
    of: str
    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TriedScore:
    """The score of a tool at a task before the records count.

    Attributes:
        tool: id of the tool.
        task: the task.
        median: of the row, or of tools that have none.
        low: lower end of the 90 % interval.
        high: upper end.
        rated: whether the row has a score.
        usual: whether an end is as far as usual for judged scores.
        parts: what it is made of: of a built-in row what was judged and what was drawn.
    """

    tool: str
    task: TriedTask
    median: float
    low: float
    high: float
    rated: bool
    usual: bool
    parts: tuple[WeightedPart, ...]

    @property
    def exact(self) -> bool:
        """Whether nothing can be learnt of it: 10 of a reference tool, by definition."""
        return self.low == self.high


@dataclass
class TimedWork:
    """Records as a model of latent figures, with what each latent is of.

    Attributes:
        trials: the records.
        scores: of every tool and task tried, in order of first appearance.
        shared: the other latents.
    """

    trials: Sequence[Trial]
    scores: list[TriedScore] = field(default_factory=list)
    shared: list[_SharedFigure] = field(default_factory=list)
    of_record: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    roles: dict[_Role, Ints] = field(default_factory=dict)
    handling: list[float] = field(default_factory=list)
    cutting: list[float] = field(default_factory=list)

    def model(self, counted: Sequence[int]) -> LatentModel:
        """Return the model of some of the records, by their places."""
        spread = assumptions()["record_spread"]
        own = np.array([-1 if score.exact else 0 for score in self.scores], dtype=np.int64)
        own[own == 0] = np.arange(np.count_nonzero(own == 0))
        rows = np.array(counted, dtype=np.int64)
        return LatentModel(
            log_minutes=np.log([self.trials[place].minutes for place in counted]),
            handling=np.array([self.handling[place] for place in counted]),
            cutting=np.array([self.cutting[place] for place in counted]),
            own=own[self.of_record[rows]],
            rate=self.roles["rate"][rows],
            wood=self.roles["wood"][rows],
            hand=self.roles["hand"][rows],
            person=self.roles["person"][rows],
            skill=self.roles["skill"][rows],
            own_sd=np.array([_deviation(score.low, score.high) for score in self.scores if not score.exact]),
            shared_sd=np.array([_deviation(one.low, one.high) for one in self.shared]),
            spread=assumed("record_spread"),
            # derived: the logarithm of a spread that so many records tell scatters by 1 / sqrt(2 records)
            freedom=0.5 / _deviation(spread.low, spread.high) ** 2,
            spoilt_share=assumed("spoilt_share"),
            spoilt_spread=math.log(assumed("spoilt_factor")),
        )


def latents_of(
    trials: Sequence[Trial],
    tools: Sequence[Tool],
    *,
    pace: float,
    skill: Skill,
    changed: Mapping[str, float] | None,
) -> TimedWork:
    """Return records with the latent figures behind them. A figure that is changed is known.

    Args:
        trials: the records.
        tools: rows of the tools tried; a tool without one is one that nothing is known of.
        pace: known pace of who was timed against others of that skill [-].
        skill: of who was timed, where a record does not say.
        changed: figures in place of the table's, by id.

    Raises:
        RangeError: a record whose handling takes its whole time.
        KeyError: a wood that is not in the table.
    """
    rows = {tool.id: tool for tool in tools}
    known = changed or {}
    work = TimedWork(trials)
    places: dict[tuple[str, str], int] = {}
    shared: dict[tuple[str, str], int] = {}
    found: dict[_Role, list[int]] = {role: [] for role in ("rate", "wood", "hand", "person", "skill")}
    of_record = []
    for trial in trials:
        key = (trial.tool, trial.task)
        if key not in places:
            places[key] = len(work.scores)
            work.scores.append(_score_before(rows.get(trial.tool), trial, known))
        of_record.append(places[key])
        for role, name, of in _figures_of(trial, skill):
            found[role].append(_place_of(work, shared, role, name, of, known))
        row = rows.get(trial.tool)
        largest = row.saw_max_mm if row is not None and row.saw_max_mm > 0 else None
        own_pace = _pace_of(trial, skill, pace, known)
        handling = handling_minutes(trial, pace=own_pace, changed=known)
        if handling >= trial.minutes:
            raise RangeError(
                quantity="minutes", value=trial.minutes, low=handling, high=math.inf, unit="min", source="judged"
            )
        batoned = row is not None and row.batoned
        reference = reference_minutes(trial, largest_mm=largest, batoned=batoned, changed=known)
        score = work.scores[places[key]].median
        work.handling.append(handling)
        work.cutting.append(_FULL * wood_factor(trial, changed=known) * reference / (score * own_pace))
    work.of_record = np.array(of_record, dtype=np.int64)
    work.roles = {role: np.array(one, dtype=np.int64) for role, one in found.items()}
    return work


def used_assumptions(trials: Iterable[Trial], skill: Skill) -> set[str]:
    """Return the ids of the latent figures of all records, known ones too."""
    return {name for trial in trials for _, name, _ in _figures_of(trial, skill) if name}


def _pace_of(trial: Trial, skill: Skill, pace: float, known: Mapping[str, float]) -> float:
    """Return the pace of who was timed in a record, before it counts [-]."""
    return pace * usual_pace(trial.skill or skill, known)


def _figures_of(trial: Trial, skill: Skill) -> Iterable[tuple[_Role, str, str]]:
    """Yield each role with the assumption of a record in it, empty where there is none, and what that is of."""
    yield "rate", chop_rate_id(diameter_mm=trial.diameter_mm) if trial.task == "chop" else _RATES[trial.task], ""
    plain = trial.task == "carve" or (trial.wood, trial.state) == (REFERENCE_WOOD, _DRY)
    yield "wood", "" if plain else f"residual_{trial.task}", f"{trial.wood} {trial.state}"
    yield "hand", (trial.clock == "whole" and handling_id(trial)) or "", ""
    yield "person", "pace", trial.person or ""
    skilled = trial.skill or skill
    yield "skill", "" if skilled == "practised" else f"skill_{skilled}", ""


def _place_of(
    work: TimedWork, shared: dict[tuple[str, str], int], role: _Role, name: str, of: str, known: Mapping[str, float]
) -> int:
    """Return the place of a shared figure, -1 where there is none or it is known."""
    # the residual of a species is 1 in the reference wood; in another state of that wood it is still unknown
    if not name or name in known:
        return -1
    if (name, of) not in shared:
        row = assumptions()[name]
        if not row.low < row.high:
            return -1
        shared[name, of] = len(work.shared)
        work.shared.append(_SharedFigure(role, name, of, assumed(name), row.low, row.high))
    return shared[name, of]


def _score_before(tool: Tool | None, trial: Trial, known: Mapping[str, float]) -> TriedScore:
    """Return the score of a tool at the task of a record before any counts."""
    score = 0.0 if tool is None else float(getattr(tool, f"{trial.task}_score"))
    if tool is not None and score > 0:
        low, high = score_interval(tool, trial.task, changed=known)
        usual = None in (getattr(tool, f"{trial.task}_score_low"), getattr(tool, f"{trial.task}_score_high"))
        parts = _parts_before(tool, trial.task, score, low, high)
        return TriedScore(trial.tool, trial.task, score, low, high, rated=True, usual=usual, parts=parts)
    score, factor = assumed("unrated_score", known), assumed("unrated_spread", known)
    low, high = score / factor, score * factor
    parts = (WeightedPart("judged", score, low, high, 1.0),)
    return TriedScore(trial.tool, trial.task, score, low, high, rated=False, usual=False, parts=parts)


def _parts_before(tool: Tool, task: str, score: float, low: float, high: float) -> tuple[WeightedPart, ...]:
    """Return what a row's score is made of: parts of a built-in row that is as it was, else one that was judged."""
    if any(one.id == tool.id for one in judged_tools()):
        for one in scores_of(tool.id):
            if (one.task, one.median, one.low, one.high) == (task, score, low, high):
                return one.parts
    return (WeightedPart("judged", score, low, high, 1.0),)


def _deviation(low: float, high: float) -> float:
    """Return the standard deviation of the logarithm that a 90 % interval has."""
    return math.log(high / low) / (2 * _Z)
